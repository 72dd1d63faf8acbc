"""A coach beside a hard boulder: which sentence follows from which answer, in the real core."""

from dataclasses import replace
from statistics import median

import pytest

from coach.model.answers import Answer, Meaning
from coach.model.body import Feel, Part
from coach.model.facts import BoulderNamed, StepEnded, Tried, Varied
from coach.model.key_moves import KEY_MOVES
from coach.model.person import AgeBand
from coach.model.plan import StepKind
from coach.model.tries import Boulder, Went
from coach.planning import drills
from coach.session.events import Source
from coach.session.state import Phase
from docs import tries as docs
from tests.session.stage import LANGUAGE, Play

LEAP = Boulder("flint 4", "overhang", 9, "leap", 5, "left")


def rests(boulder: Boulder = LEAP, **more: object) -> Play:
    return Play(routine="rests", minutes=120.0, boulders=((1, boulder),), **more)  # type: ignore[arg-type]


def fall(play: Play, *told: str) -> None:
    """One try that ends as it is told at once, and what else is told in the rest after it."""
    play.until(Phase.WORK, StepKind.TRY)
    play.run(15.0)
    first, *more = told
    play.say(first)
    for key in more:
        play.run(6.0)
        play.say(key)


def drilled(play: Play) -> list[str]:
    names = [f.movement for f in play.found(StepEnded) if f.block == "hard" and f.kind == "dose"]
    return list(dict.fromkeys(names))


class TestALeapMissedForTiming:
    def test_one_swing_comes_next_and_slow_hands_never(self) -> None:
        play = rests()
        fall(play, "move:5")
        fall(play, "move:5", "cause:timing")
        play.run(10.0)
        assert "Move 5 again. Next: one swing, or from a standstill?" in play.said
        play.until(Phase.WORK, StepKind.TRY)
        assert play.said[-1] == "One swing, then leave."
        assert not any("slow" in said.lower() for said in play.said)

    def test_both_get_a_try_and_the_one_that_helped_stays(self) -> None:
        play = rests()
        fall(play, "move:5")
        fall(play, "move:5", "cause:timing")
        fall(play, "move:5")
        assert "Now from a standstill, then." in play.said
        fall(play, "move:7")
        assert "2 holds further than before." in play.said
        play.run(10.0)
        assert "That helped: from a standstill. We'll stay with it." in play.said
        play.until(Phase.WORK, StepKind.TRY)
        assert play.said[-1] == "Quite still, then all at once."
        assert [(v.variation, v.gave) for v in play.found(Varied)] == [
            ("one-swing", "no better"),
            ("from-still", "better"),
        ]

    def test_the_other_one_first(self) -> None:
        play = rests()
        fall(play, "move:5")
        fall(play, "move:5", "cause:timing")
        play.run(8.0)
        assert "variation:from-still" in play.session.window.answers
        play.say("variation:2")
        play.until(Phase.WORK, StepKind.TRY)
        assert play.said[-1] == "Quite still, then all at once."

    def test_it_is_hers_who_tried_last_whoever_presses_it(self) -> None:
        play = Play(routine="rests", minutes=120.0, people=3)
        for who in (1, 2, 3, 1, 2, 3):
            play.until(Phase.WORK, StepKind.TRY)
            play.run(15.0)
            assert play.session.course.running.step.turn == who
            for key in ("ended-middle", "down"):
                play.say(key, who=who)
                play.run(6.0)
        play.say("cause:foot", who=3)
        play.run(6.0)
        offers = [key for key in play.session.window.answers if key.startswith("variation:")]
        play.say(offers[0], who=2)
        assert play.session.did.key == "vary-first"
        assert play.session.did.value("who") == 3

    def test_a_failed_change_is_not_offered_again(self) -> None:
        play = rests()
        for _ in range(9):
            fall(play, "move:5")
        offers = [said for said in play.said if "Next: " in said]
        made = [fact.variation for fact in play.found(Varied)]
        assert len(offers) == len(set(offers))
        assert len(made) == len(set(made)) >= 4


class TestDrill:
    def test_both_hands_before_the_first_try_the_single_one_after_two_falls(self) -> None:
        play = rests()
        fall(play, "move:5")
        assert drilled(play) == ["two-hands-together"]
        fall(play, "move:5")
        play.until(Phase.WORK, StepKind.TRY)
        assert "Twice at that move: the drill once more. Skip leaves it out." in play.said
        assert drilled(play) == ["two-hands-together", "one-hand-hop"]
        assert {f.side for f in play.found(StepEnded) if f.movement == "one-hand-hop"} == {"left"}

    def test_it_adds_nothing_to_the_day_and_takes_nothing_from_the_rest(self) -> None:
        play = rests()
        fall(play, "move:5")
        planned = [one for one in play.session.course.steps if drills.is_kept(one)]
        fall(play, "move:5")
        assert [one for one in play.session.course.steps if drills.is_kept(one)] == planned
        down = play.now
        play.until(Phase.WORK, StepKind.TRY)
        ends = [f for f in play.found(StepEnded) if f.movement == "one-hand-hop"]
        assert play.now - down - sum(f.seconds for f in ends) >= 200.0
        assert 60.0 <= play.now - ends[-1].at <= 180.0

    def test_it_waits_for_two_falls_at_the_move_and_comes_once(self) -> None:
        play = rests()
        for move in (2, 3, 4, 5):
            fall(play, f"move:{move}")
        assert drilled(play) == ["two-hands-together"]
        for _ in range(3):
            fall(play, "move:5")
        assert drilled(play) == ["two-hands-together", "one-hand-hop"]
        assert sum("the drill once more" in said for said in play.said) == 1

    def test_worn_fingers_do_not_drill_again(self) -> None:
        play = rests()
        fall(play, "move:5", "cause:tired")
        fall(play, "move:5", "cause:tired")
        play.until(Phase.WORK, StepKind.TRY)
        assert drilled(play) == ["two-hands-together"]

    def test_a_drill_that_has_begun_ends_where_she_tells_that_she_is_worn(self) -> None:
        play = rests()
        fall(play, "move:5")
        fall(play, "move:5")
        play.until(Phase.WORK, StepKind.DOSE)
        play.until(Phase.REST)
        play.say("cause:tired", source=Source.KEY)
        play.until(Phase.WORK, StepKind.TRY)
        assert "Then no drill; rest instead." in play.said
        assert play.said[play.said.index("Then no drill; rest instead.") :].count("Once more.") == 0
        assert [f.amount for f in play.found(StepEnded) if f.movement == "one-hand-hop"] == [1.0]

    def test_one_word_leaves_out_both_sides(self) -> None:
        play = rests(replace(LEAP, hand=""))
        fall(play, "move:5")
        fall(play, "move:5")
        play.until(Phase.WORK, StepKind.DOSE)
        assert play.session.course.running.step.side == "left"
        play.say("skip")
        play.until(Phase.WORK, StepKind.TRY)
        assert not any("Other side" in said for said in play.said)

    def test_skip_leaves_it_out_again(self) -> None:
        play = rests()
        fall(play, "move:5")
        fall(play, "move:5")
        play.until(Phase.WORK, StepKind.DOSE)
        play.say("skip")
        play.until(Phase.WORK, StepKind.TRY)
        assert "one-hand-hop" not in {f.movement for f in play.found(StepEnded) if f.amount}

    def test_skip_leaves_it_out(self) -> None:
        play = rests()
        play.until(Phase.WORK, StepKind.DOSE)
        play.say("skip")
        play.until(Phase.WORK, StepKind.TRY)
        assert play.now < 60.0

    @pytest.mark.parametrize("age", [AgeBand.UNDER_18, AgeBand.UNKNOWN])
    def test_the_young_reach_without_letting_go(self, age: AgeBand) -> None:
        play = rests(age=age)
        play.until(Phase.WORK, StepKind.DOSE)
        assert play.session.course.running.step.forms[0].movement == "still-reach"

    def test_sore_shoulders_catch_nothing(self) -> None:
        play = rests(hurting=((1, Part.SHOULDERS, Feel.SORE),))
        play.run(400.0)
        assert not set(drilled(play)) - {"still-reach"}

    def test_nobody_is_asked_whether_one_more(self) -> None:
        play = rests()
        play.until(Phase.WORK, StepKind.TRY)
        assert not any("One more go" in said for said in play.said)


class TestTheLastTry:
    def last(self) -> Play:
        """Fell twice for timing, then a last go is agreed on and under way."""
        play = rests()
        fall(play, "move:5")
        fall(play, "move:5", "cause:timing")
        play.run(20.0)
        play.say("last-go", source=Source.KEY)
        play.until(Phase.WORK, StepKind.TRY)
        assert play.said[-1] == "One swing, then leave."
        play.run(15.0)
        return play

    def test_nothing_is_promised_for_a_try_that_nobody_has(self) -> None:
        play = self.last()
        play.say("move:5")
        play.run(60.0)
        assert "That was the last try. Now an easy boulder that you like." in play.said
        assert not any(said.startswith("Now ") for said in play.said)

    def test_it_is_asked_about_when_the_breath_is_back(self) -> None:
        play = self.last()
        play.say("down")
        down = play.now
        play.until(Phase.ASK, question="try-result")
        assert play.now - down >= 18.0

    def test_what_is_said_of_it_meanwhile_counts(self) -> None:
        play = self.last()
        play.say("down")
        play.run(12.0)
        play.say("ended-top")
        assert play.found(Tried)[-1].result == "top"
        play.run(60.0)
        assert "How far did it get?" not in play.said


class TestTheDrillIsOfTheBoulder:
    def test_told_otherwise_at_the_go_ahead_it_is_another_drill(self) -> None:
        play = rests()
        play.until(Phase.ASK, question="go-ahead")
        play.say("key-move:hooks")
        fall(play, "move:5")
        assert drilled(play) == ["heel-and-pull"]

    def test_of_two_each_has_her_own_whoever_told_of_hers_first(self) -> None:
        play = rests(people=2)
        play.until(Phase.ASK, question="go-ahead")
        play.say("go")
        play.until(Phase.ASK, question="go-ahead")
        assert play.session.questions.asking.who == 2
        play.say("key-move:balance", who=2)
        play.until(Phase.WORK, StepKind.TRY)
        assert drilled(play) == ["two-hands-together", "rock-over-low"]

    def test_none_of_the_first_boulder_comes_on_the_second(self) -> None:
        play = rests()
        fall(play, "move:5")
        play.run(25.0)
        play.say("other-boulder")
        play.until(Phase.ASK, question="which-boulder")
        play.say("count:4")
        for _ in range(4):
            fall(play, "ended-middle")
        assert drilled(play) == ["two-hands-together"]
        assert not any(drills.is_drill(step) for step in play.session.course.steps)

    def test_on_the_second_one_it_comes_by_her_own_word(self) -> None:
        play = rests()
        fall(play, "topped")
        play.until(Phase.ASK, question="after-top")
        play.say("other-boulder")
        for question, key in (
            ("which-boulder", "count:4"),
            ("boulder-style", "style:slab"),
            ("boulder-about", "key-move:balance"),
        ):
            play.until(Phase.ASK, question=question)
            play.say(key)
        play.run(10.0)
        assert play.said[-1] == "Say one more, and the drill comes first."
        assert "another" in play.session.window.answers
        play.say("another")
        play.until(Phase.WORK, StepKind.TRY)
        assert drilled(play) == ["two-hands-together", "rock-over-low"]
        assert play.said[-1] == "Nose over the toes, then stand."


class TestWhatItIsAbout:
    def test_it_is_told_at_the_go_ahead_by_voice(self) -> None:
        play = Play(routine="rests", minutes=120.0)
        play.until(Phase.ASK, question="go-ahead")
        play.say("key-move:leap")
        assert "It is about a leap." in play.said
        play.until(Phase.WORK, StepKind.TRY)
        assert drilled(play) == ["two-hands-together"]
        assert play.said[-1] == "Eyes on the far hold. Know how you land."

    @pytest.mark.parametrize("about", KEY_MOVES)
    def test_each_key_move_counts_at_the_go_ahead_with_its_number_and_hand(
        self, about: str
    ) -> None:
        play = Play(routine="rests", minutes=120.0)
        for key in (f"key-move:{about}", "move:5", "hand:left", "style:overhang"):
            play.until(Phase.ASK, question="go-ahead")
            play.say(key)
        here = dict(play.session.tries.on)[1]
        assert (here.about, here.key_at, here.hand, here.style) == (about, 5, "left", "overhang")
        assert sum("Landing clear" in said for said in play.said) == 1
        play.until(Phase.WORK, StepKind.TRY)
        assert drilled(play)

    def test_one_breath_tells_all_of_it_and_the_circuit(self) -> None:
        language = LANGUAGE.at(["flint", "slate"])
        told = language.breath("it's a leap on flint, move five")
        assert [one.key for one in told] == ["key-move:leap", "circuit:flint", "move:5"]
        assert language.breath("it's a leap, move five, move six") == ()
        assert language.breath("on flint") == (Answer(Meaning.CIRCUIT, circuit="flint"),)

    def test_told_in_the_check_in_it_bends_the_whole_day(self) -> None:
        play = Play(hurting=None)
        play.until(Phase.CHECK_IN, question="hurting")
        play.say("key-move:leap")
        assert play.session.questions.asking.question == "hurting"
        play.say("no")
        play.until(Phase.ASK, question="focus")
        assert play.session.questions.asking.offered[0] == "focus:hips-first"

    @pytest.mark.parametrize("about", KEY_MOVES)
    def test_the_easy_boulders_offer_its_focus_first(self, about: str) -> None:
        play = Play(boulders=((1, Boulder("flint 4", about=about)),))
        play.until(Phase.ASK, question="focus")
        table = play.session.library.key_moves
        wanted = tuple(f"focus:{name}" for name in table.moves[about].focus)
        assert play.session.questions.asking.offered == wanted

    def test_board_and_middle_boulders_bend_to_it(self) -> None:
        play = Play(boulders=((1, LEAP),))
        play.until(Phase.WORK, StepKind.TRY)
        assert "Pick middle ones with a big move, if there are any." in play.said
        assert play.said.count("With a leap in mind.") == 1
        assert any(drills.is_drill(step) for step in play.session.course.past)

    def test_what_is_known_of_it_stays_known(self) -> None:
        play = rests()
        [named] = play.found(BoulderNamed)
        assert (named.about, named.key_at, named.hand) == ("leap", 5, "left")


class TestAnotherDay:
    def test_two_sentences_tell_where_it_ended_and_what_helped(self) -> None:
        earlier = (
            Went(1, "flint 4", "middle", 4, today=False),
            Went(1, "flint 4", "middle", 5, cause="foot", variation="one-swing", today=False),
        )
        play = rests(went=earlier)
        play.until(Phase.WORK, StepKind.TRY)
        assert "Last time: 5 of 9. A foot slipped." in play.said
        assert "What got you further: one swing." in play.said
        assert play.said[-1] == "One swing, then leave."
        assert sum(said.startswith("Last time") for said in play.said) == 1


class TestHerPlan:
    def test_it_is_shown_before_each_go_and_not_spoken(self) -> None:
        play = rests(replace(LEAP, plan="heel first, then the far hold"))
        for _ in range(2):
            play.until(Phase.WORK, StepKind.TRY)
            assert LANGUAGE.text(play.session.did) == "Your plan: heel first, then the far hold"
            play.run(15.0)
            play.say("move:5")
        assert not any("heel first" in said for said in play.said)


class TestHerOwnView:
    def test_it_is_asked_before_advice_and_what_she_felt_decides(self) -> None:
        play = rests(view_first=True)
        for _ in range(3):
            fall(play, "move:5")
        play.until(Phase.ASK, question="own-view")
        assert not any("Next: " in said for said in play.said)
        play.say("cause:timing")
        play.run(10.0)
        assert "Move 5 again. Next: one swing, or from a standstill?" in play.said

    def test_in_silence_it_is_let_be_and_no_advice_comes_twice(self) -> None:
        play = rests(view_first=True)
        for _ in range(11):
            fall(play, "move:5")
        assert play.said.count("What did you feel?") == 2
        offers = [one for one in play.said if "Next: " in one or "Another boulder may" in one]
        assert len(offers) == len(set(offers)) == 2


class TestATop:
    def test_the_same_again_comes_with_one_change(self) -> None:
        play = rests()
        fall(play, "topped")
        play.until(Phase.ASK, question="after-top")
        play.say("same")
        play.until(Phase.WORK, StepKind.TRY)
        assert "Next: one swing." in play.said
        assert play.said[-1] == "One swing, then leave."

    def test_it_asks_what_comes_next(self) -> None:
        play = rests(Boulder("flint 4"))
        fall(play, "topped")
        play.until(Phase.ASK, question="after-top")
        play.say("other-boulder")
        fall(play, "ended-middle")
        assert [fact.boulder for fact in play.found(Tried)] == ["flint 4", "number 3"]

    def test_enough_winds_down_at_once(self) -> None:
        play = rests(Boulder("flint 4"))
        fall(play, "topped")
        play.until(Phase.ASK, question="after-top")
        play.say("enough")
        play.run(20.0)
        assert play.session.phase is Phase.DEBRIEF

    def test_after_the_last_one_comes_an_easy_one_that_she_likes(self) -> None:
        play = rests(Boulder("flint 4"))
        fall(play, "ended-middle")
        play.run(5.0)
        play.say("last-go", source=Source.KEY)
        fall(play, "ended-middle")
        play.run(5.0)
        assert "That was the last try. Now an easy boulder that you like." in play.said

    def test_none_is_promised_where_something_else_comes(self) -> None:
        play = Play()
        play.until(Phase.DEBRIEF)
        kinds = [one.kind for one in play.session.course.past]
        after = kinds[len(kinds) - kinds[::-1].index(StepKind.TRY) :]
        promised = any("an easy boulder that you like" in said for said in play.said)
        assert promised == (bool(after) and after[0] is StepKind.CLIMB)

    def test_the_last_one_is_announced(self) -> None:
        play = rests(Boulder("flint 4"))
        fall(play, "ended-middle")
        play.run(5.0)
        play.say("last-go", source=Source.KEY)
        play.until(Phase.WORK, StepKind.TRY)
        assert "Try 2, the last. Decide, then climb." in play.said


@pytest.mark.parametrize("heard", docs.HEARD, ids=lambda heard: heard.name)
def test_a_transcript_is_quiet_and_asks_at_most_one_question_a_try(heard: docs.Heard) -> None:
    made = docs.rehearsed(heard)
    asked = docs.asked_by_try(made)
    assert made.unsaid == ()
    assert len(asked) == sum(count for _, count in made.session.tries.counts) >= 3
    assert sum(asked) <= len(asked)
    assert median(asked) <= 1
    assert docs.speech_share(made) < 0.2
