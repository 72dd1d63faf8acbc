"""Random groups with a leader who says random things: what never happens, person by person."""

import random
from pathlib import Path

import pytest

from coach.model.facts import CapLifted, Presence, StepEnded
from tests.group.runs import run
from tests.group.watched import random_group, random_words


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.no_cover
def test_nobody_is_exposed_coaxed_or_in_two_places(seed: int, tmp_path: Path) -> None:
    dice = random.Random(seed)
    given, watch = random_group(dice)

    done, seen = run(given, random_words(dice, len(given.people)), tmp_path, also=watch)

    assert done.session.how == "done"
    finished = {(fact.who, fact.step) for fact in seen.facts if isinstance(fact, StepEnded)}
    came_or_went = {fact.who for fact in seen.facts if isinstance(fact, Presence)}
    for who in given.people:
        if who not in came_or_went:
            mine = {
                common.step.name
                for stop in done.session.programme.stops
                for common in stop.callouts
                if (form := common.step.form(who)) is not None and form.movement
            }
            assert mine <= {step for one, step in finished if one == who}, who
    lifted = {fact.who for fact in seen.facts if isinstance(fact, CapLifted) and fact.by != "undo"}
    assert lifted <= watch.let_in
