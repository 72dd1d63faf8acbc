"""What a day of ninety minutes costs its climber: `python -m tests.bench.annoyance [SEEDS]`.

Minutes of speech, questions and answers of one grown-up with the full routine: on good days, on
mixed ones (sore fingers, late answers) and on bad ones (hurt, contrary). The goals are those of
`docs/design.md` for a good day: 7 minutes, 6 questions, 30 answers.
"""

import sys
from collections.abc import Callable
from random import Random
from statistics import median

from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.session.step import new_session
from tests.days import climbers
from tests.days.climbers import Climber
from tests.days.hall import BREATH, PACE, Hall
from tests.days.judges import LivedDay
from tests.days.living import run

MINUTES, GOALS = 90.0, (7.0, 6, 30)


class Falling(Climber):
    """Says only "down", and tells what is asked: now a fall and its cause, now a top."""

    def choose(self, answers: tuple[str, ...]) -> str:
        tells = [key for key in answers if key.startswith(("ended-", "cause:", "felt-"))]
        fell = tells and self.dice.random() < 0.8
        return self.dice.choice(tells) if fell else super().choose(answers)


#: A kind of day, and who has it.
DAYS: dict[str, Callable[[Random], Climber]] = {
    "good, tells of each try": climbers.Telling,
    "good, says only 'down'": Climber,
    "good, 'down', and falls": Falling,
    "mixed, sore fingers": lambda dice: climbers.Hurt(
        dice, at=1500.0, part="fingers", words="feel:fingers:sore"
    ),
    "mixed, answers late": lambda dice: Climber(dice, late=12.0),
    "bad, hurts a wrist": climbers.Hurt,
    "bad, answers anyhow": climbers.Contrary,
}


def day_of(kind: str, seed: int) -> LivedDay:
    """A day of a kind, lived to its end."""
    library = load_library("full", None, ())
    climber = DAYS[kind](Random(seed))
    hall = Hall(load_language("en", library.movements), [climber])
    day = LivedDay(hall, [climber], MINUTES)
    people = (Person(1, age=AgeBand.ADULT, edge="medium"),)
    run(day, new_session(library, Options(people, MINUTES, (), same_place=True)))
    return day


def cost(day: LivedDay) -> tuple[float, int, int, int]:
    """Minutes of speech, questions, answers, and hard tries of a day."""
    said = day.lines("said")
    seconds = sum(60.0 * len(line.text.split()) / PACE + BREATH for line in said)
    questions = sum(line.what.key.startswith("ask-") for line in said)
    tries = sum(line.text == "Tried" for line in day.lines("kept"))
    return seconds / 60.0, questions, len(day.lines("heard")), tries


def main() -> None:
    """Print the table: the median day of each kind, and the worst."""
    seeds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    print(f"goals of a good day: {GOALS[0]:g} min of speech, {GOALS[1]} questions, "
          f"{GOALS[2]} answers; {seeds} days each, median (most)")  # fmt: skip
    for kind in DAYS:
        costs = [cost(day_of(kind, seed)) for seed in range(seeds)]
        speech, questions, answers, tries = (list(one) for one in zip(*costs, strict=True))
        print(
            f"{kind:26} speech {median(speech):4.1f} ({max(speech):.1f}) min   "
            f"questions {median(questions):4g} ({max(questions)})   "
            f"answers {median(answers):4g} ({max(answers)})   tries {median(tries):g}"
        )


if __name__ == "__main__":
    main()
