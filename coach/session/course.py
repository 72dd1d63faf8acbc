"""What comes next: a waiting question, the interrupted step or rest, or the next step."""

from dataclasses import replace

from coach import planning
from coach.model.plan import Step, StepKind
from coach.model.questions import OF_TRIES
