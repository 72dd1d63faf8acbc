"""The first entry of a session in the journal, for tests that play one themselves."""

from datetime import datetime

from coach.model.day import Library
from coach.model.start import Options, Start
from coach.runtime.replay import rules_version


def entry(library: Library, options: Options, wall: datetime) -> Start:
    """What a session of these options would begin with at that time, under the rules of today."""
    return Start(
        routine=library.routine.name,
        minutes=round(options.minutes or library.routine.minutes),
        people=options.people,
        library=library,
        rules_version=rules_version(),
        program="test",
        wall=wall.isoformat(),
        settled=options,
    )
