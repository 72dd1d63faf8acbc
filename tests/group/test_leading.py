"""What a leader says, and what comes of it: who moves where, and what is on the record."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from coach.errors import UsageError
from coach.files.words import load_language
from coach.group import leader
from coach.group.arrangement import by_number_of, group_of, options_of
from coach.group.display import look, next_change, stands
from coach.group.gathering import Act, Group, Status
from coach.group.group_step import new_group, step
from coach.group.limits import why_not
from coach.group.phrases import heard_from
from coach.group.programme import more_time
from coach.model.answers import Answer, Meaning, parse
from coach.model.body import Feel
from coach.model.body import Part as Body
from coach.model.facts import CapLifted, Finished, Omitted, Presence, StepEnded
from coach.model.movement import Hold
from coach.model.nature import Tendency
from coach.model.person import AgeBand, Person
from coach.model.start import Options, Start
from coach.planning.stations import Station
from coach.session.effects import End, Say
from coach.session.events import (
    Answered,
    ClockJumped,
    DeviceLost,
    DeviceReturned,
    Event,
    Reopened,
    SoundEnded,
    Source,
    SpeechBegan,
    Started,
    Sureness,
    TimePassed,
)
from coach.session.state import Phase
from coach.session.step import RefusedError
from coach.session.view import Ear, Word
from tests.group.runs import AGES, BOARDS, WALL, group, language, library, run, said

ADULTS = (AgeBand.ADULT,) * 6


def test_everybody_goes_through_all_of_it_and_it_is_on_the_record(tmp_path: Path) -> None:
    given = group()

    done, seen = run(given, "", tmp_path)

    assert done.session.how == "done"
    assert done.transcript.entries[-1].at <= 45 * 60 + 10
    board = {f.who for f in seen.facts if isinstance(f, StepEnded) and f.block == "board"}
    easy = {f.who for f in seen.facts if isinstance(f, StepEnded) and f.block == "easy"}
    assert board == {who for who, age in enumerate(AGES, 1) if age is not AgeBand.UNDER_16}
    assert easy == set(range(1, 13))
    assert {f.who for f in seen.facts if isinstance(f, Finished)} == set(range(1, 13))


def test_why_somebody_leaves_something_out_is_recorded_and_never_said(tmp_path: Path) -> None:
    done, seen = run(group(hurting=((3, Body.FINGERS, Feel.HURTING),)), "", tmp_path)

    why = {(f.who, f.why) for f in seen.facts if isinstance(f, Omitted)}
    assert (9, "under-16") in why
    assert any(who == 3 for who, _ in why)
    spoken = " ".join(text.lower() for _, text in said(done))
    assert not any(word in spoken for word in ("sixteen", "eighteen", "age", "sore", "under"))


def test_cues_of_a_change_are_short_and_said_twice_with_room_for_the_leader(
    tmp_path: Path,
) -> None:
    _, seen = run(group(), "", tmp_path)

    moving = [
        (say.what, say.at)
        for now, _, effects in seen.turns
        for say in effects
        if isinstance(say, Say) and say.on_the_move
    ]
    moves = [what for what, _ in moving if what.key == "group-move"]
    assert moves
    assert all(moves.count(what) % 2 == 0 for what in set(moves))
    assert max(len(language().text(what).split()) for what, _ in moving) <= 12
    cues = {e.sound for _, _, effects in seen.turns for e in effects if isinstance(e, Say)}
    ends = [e.at for _, e, _ in seen.turns if isinstance(e, SoundEnded) and e.sound in cues]
    for _, at in moving:
        before = max((end for end in ends if end <= at), default=0.0)
        assert at - before >= 0.29


def test_a_harder_form_is_for_whoever_agreed_on_it_and_nobody_is_named() -> None:
    mixed = group((*ADULTS, AgeBand.UNKNOWN, AgeBand.UNDER_18), routine="mat-and-board", minutes=90)
    alike = group(ADULTS, routine="mat-and-board", minutes=90)

    def offers(given: Group) -> set[tuple[str, tuple[int, ...]]]:
        callouts = [one for stop in given.programme.stops for one in stop.callouts]
        return {(one.offer, one.may) for one in callouts if one.form.endswith("feet-on")}

    assert ("largest-hang", (1, 2, 3, 4, 5, 6)) in offers(mixed)
    assert ("largest-hang", (1, 2, 3, 4, 5, 6)) in offers(alike)


@pytest.mark.parametrize("routine", ["mat-and-board", "first-days", "full"])
def test_nobody_hangs_from_an_edge(routine: str) -> None:
    given = group((*ADULTS, AgeBand.UNKNOWN, AgeBand.UNKNOWN), routine=routine, minutes=90)
    hung = 0
    for common in (common for stop in given.programme.stops for common in stop.callouts):
        for name in filter(None, (common.form, common.offer)):
            hang = given.library.movements[name].hang
            assert hang is None or hang.hold is Hold.LARGEST, name
            hung += hang is not None
    assert hung


def test_who_may_more_is_on_the_programme_for_the_sheet() -> None:
    young = (AgeBand.UNKNOWN,) * 4
    only = group((AgeBand.ADULT, *young), routine="mat-and-board", minutes=90).programme

    assert (1, "largest-hang") in only.agreed
    assert {who for who, _ in only.agreed} == {1}


def test_an_offer_names_nobody(tmp_path: Path) -> None:
    ages = (*ADULTS, AgeBand.UNKNOWN, AgeBand.UNDER_18)
    done, _ = run(group(ages, routine="mat-and-board", minutes=90), "", tmp_path)

    offered = [text for _, text in said(done) if text.startswith("Anyone who agreed on it")]
    assert offered
    assert not any(figure in text for text in offered for figure in "123456789")


HURT = """
12:00 number two
12:03 is hurting
"""


WRIST = HURT + "12:06 my wrist\n"


def test_after_hurting_only_the_leaders_own_yes_takes_somebody_back(tmp_path: Path) -> None:
    still, _ = run(group(), WRIST + "16:00 number two\n16:03 is back\n16:08 yes\n", tmp_path)
    refused, _ = run(group(), WRIST + "16:00 number two\n16:03 is back\n16:08 no\n", tmp_path)
    back, seen = run(
        group(), WRIST + "16:00 number two\n16:03 is back\n16:08 let them in\n", tmp_path
    )

    assert still.session.status(2) is Status.HURT
    assert refused.session.status(2) is Status.HURT
    assert back.session.status(2) is Status.HERE
    assert {fact.who for fact in seen.facts if isinstance(fact, CapLifted)} == {2}
    caps = {cap.part: cap.most for cap in back.session.programme.day.caps if cap.who == 2}
    assert caps[Body.WRISTS] == 0
    hung = [f for f in seen.facts if isinstance(f, StepEnded) and f.who == 2 and f.at > 900]
    assert not [fact for fact in hung if fact.block == "board"]


def test_who_never_told_what_hurts_is_not_let_in(tmp_path: Path) -> None:
    words = HURT + "16:00 number two\n16:03 is back\n17:00 number two\n17:03 is back\n"

    asked, _ = run(group(), words + "17:08 let them in\n", tmp_path)
    told, _ = run(group(), words + "17:08 my knee\n17:20 let them in\n", tmp_path)

    assert asked.session.status(2) is Status.HURT
    assert told.session.status(2) is Status.HERE


def test_out_after_hurting_is_still_hurting(tmp_path: Path) -> None:
    words = HURT + "15:00 number two\n15:03 is out\n16:00 number two\n16:03 is back\n"
    words += "18:00 number two\n18:03 is late\n"

    done, _ = run(group(), words, tmp_path)

    assert done.session.status(2) is not Status.HERE


def test_who_is_hurting_leaves_and_the_partner_stays(tmp_path: Path) -> None:
    _, plain = run(group(), "", tmp_path)
    now = next(now for now, _, _ in plain.turns if now.at > 720)
    who = next(now.members(seat)[0] for seat in now.seated if seat.turn.kind == "wall")

    _, seen = run(group(), f"12:00 person:{who}\n12:03 is hurting\n", tmp_path)

    mine = [fact for fact in seen.facts if isinstance(fact, StepEnded) and fact.who == who]
    assert "cut" in {fact.outcome for fact in mine}
    later = [now for now, _, _ in seen.turns if now.at > 725 and now.phase is not Phase.OVER]
    assert not any(who in now.members(seat) for now in later for seat in now.seated)


def test_who_comes_late_does_the_mat_first(tmp_path: Path) -> None:
    _, seen = run(group(late=(5,)), "13:00 number five\n13:03 is late\n", tmp_path)

    presence = [(f.status, f.by) for f in seen.facts if isinstance(f, Presence) and f.who == 5]
    assert presence == [("late", "roster"), ("here", "late")]
    mine = [fact for fact in seen.facts if isinstance(fact, StepEnded) and fact.who == 5]
    blocks = [fact.block for fact in mine]
    assert blocks.index("mat") < blocks.index("easy")
    assert not [fact for fact in mine if fact.at < 783]


def test_who_came_on_time_and_left_is_back_without_the_mat(tmp_path: Path) -> None:
    words = "14:00 number six\n14:03 is out\n15:00 number six\n15:03 is back\n"
    words += "16:00 number six\n16:03 is back\n"
    done, _ = run(group(), words, tmp_path)

    assert done.session.status(6) is Status.HERE
    assert 6 not in done.session.late
    early, _ = run(group(), words.replace("14:0", "02:0").replace("15:0", "03:0"), tmp_path)
    assert early.session.status(6) is Status.HERE


def test_expected_later_then_here(tmp_path: Path) -> None:
    done, _ = run(group(), "01:00 number six\n01:03 is late\n", tmp_path)

    assert done.session.status(6) is Status.LATE
    assert "6: joining later." in [text for _, text in said(done)]


def test_sore_is_an_easier_form_from_then_on(tmp_path: Path) -> None:
    words = "13:00 number one\n13:03 sore\n13:08 fingers\n13:20 the joint\n"
    done, seen = run(group(), words, tmp_path)

    texts = [text for _, text in said(done)]
    assert "An easier form from here." in texts
    caps = [c for c in done.session.programme.day.caps if c.who == 1 and c.part is Body.FINGERS]
    assert min(cap.most for cap in caps) == 0
    for f in seen.facts:
        if isinstance(f, StepEnded) and f.who == 1 and f.at > 800 and f.outcome == "done":
            assert library().movements[f.movement].load.get(Body.FINGERS, 0) == 0


def test_sore_of_nobody_and_nowhere_closes_to_the_careful_side(tmp_path: Path) -> None:
    nobody, _ = run(group(), "14:00 sore\n", tmp_path)
    nowhere, _ = run(group(), "14:00 sore\n14:05 number one\n", tmp_path)

    texts = [text for _, text in said(nobody)]
    assert "Who is it?" in texts
    assert "Easier forms for everybody from here." in texts
    assert {c.who for c in nobody.session.programme.day.caps if c.rule == "sore-somewhere"} == set(
        nobody.session.people
    )
    caps = [c for c in nowhere.session.programme.day.caps if c.rule == "part-untold"]
    assert {(cap.who, cap.part) for cap in caps} == {(1, part) for part in Body}


def test_the_leaders_last_lowering_change_can_be_taken_back(tmp_path: Path) -> None:
    hurt = "13:00 number four\n13:03 is hurting\n"
    given = group()
    done, _ = run(given, hurt + "13:20 undo that\n", tmp_path)
    late, _ = run(given, hurt + "16:20 undo that\n", tmp_path)
    none, _ = run(given, "13:20 undo that\n", tmp_path)

    mine = {cap for cap in given.programme.day.caps if cap.who == 4}
    assert done.session.status(4) is Status.HERE
    assert {cap for cap in done.session.programme.day.caps if cap.who == 4} == mine
    assert late.session.status(4) is Status.HURT
    assert "There is nothing to take back." in [text for _, text in said(none)]


def test_a_roll_call_asks_who_is_missing_and_then_begins(tmp_path: Path) -> None:
    people = tuple(Person(who, age=AgeBand.ADULT) for who in range(1, 7))
    given = new_group(library(), Options(people, 45.0), (*BOARDS, WALL), roll=True)
    done, seen = run(given, "00:06 number three\n00:12 no\n", tmp_path)
    silent, _ = run(given, "", tmp_path)

    presence = {(f.who, f.status) for f in seen.facts if isinstance(f, Presence)}
    assert presence == {(3, "late"), *((who, "here") for who in (1, 2, 4, 5, 6))}
    assert done.session.how == silent.session.how == "done"
    assert silent.session.here == (1, 2, 3, 4, 5, 6)


def test_who_is_called_by_number_is_told_before_the_warm_up(tmp_path: Path) -> None:
    people = tuple(Person(who, name, AgeBand.ADULT) for who, name in ((1, "Runa"), (2, "Osk")))
    arranged = options_of((WALL,), (), by_number=(2,))
    start = Start(
        "group", 45, people, library(), "", "", "", "", arranged, Options(people, 45.0), "group"
    )
    assert by_number_of(start) == (2,)
    done, _ = run(group_of(start), "", tmp_path)
    plain, _ = run(group_of(replace(start, options=options_of((WALL,), ()))), "", tmp_path)
    told, usual = ([text for _, text in said(one)] for one in (done, plain))
    assert told == [usual[0], "By number today: 2.", *usual[1:]]


def test_a_number_that_nobody_has_and_a_number_taken_back(tmp_path: Path) -> None:
    done, _ = run(group(), "14:00 number thirty\n15:00 number one\n15:03 no\n", tmp_path)

    texts = [text for _, text in said(done)]
    assert "There is no 30." in texts
    assert all(done.session.status(who) is Status.HERE for who in done.session.people)


def test_two_more_minutes_and_stay_move_the_end_and_next_moves_it_nearer(tmp_path: Path) -> None:
    def end(words: str) -> float:
        done, _ = run(group(), words, tmp_path)
        return done.session.recorded_seconds

    plain = end("")
    assert end("15:00 two more minutes\n") == pytest.approx(plain + 120, abs=15)
    assert end("15:00 stay there\n18:00 next\n") == pytest.approx(plain + 180, abs=15)
    assert end("02:00 stay there\n04:00 next\n") == pytest.approx(plain + 120, abs=15)
    assert end("05:00 next\n05:40 next\n") < plain


def test_next_in_the_warm_up_shuts_the_harder_forms(tmp_path: Path) -> None:
    given = group(ADULTS, routine="mat-and-board", minutes=90)
    done, _ = run(given, "00:20 next\n00:30 next\n", tmp_path)

    commons = [common for stop in done.session.programme.stops for common in stop.callouts]
    assert [common.offer for common in commons if common.offer] == []
    assert any(common.offer for stop in given.programme.stops for common in stop.callouts)


def test_again_and_where(tmp_path: Path) -> None:
    done, _ = run(group(), "01:30 say again\n14:00 say again\n15:00 who is where\n", tmp_path)

    texts = [text for at, text in said(done) if 899 < at < 925]
    assert any(text.endswith(": wall.") for text in texts)


def test_pause_stop_hurt_and_finish(tmp_path: Path) -> None:
    words = "01:00 pause\n01:30 next\n02:00 carry on\n14:00 stop\n14:30 carry on\n15:00 i'm hurt\n"
    words += "15:10 number four\n15:14 is hurting\n15:30 carry on\n20:00 carry on\n25:00 finish\n"
    done, seen = run(group(), words, tmp_path)

    assert done.session.how == "ended"
    assert done.session.status(4) is Status.HURT
    left = {f.outcome for f in seen.facts if isinstance(f, StepEnded)}
    assert left >= {"done", "cut", "left-out"}
    hurt, _ = run(group(), "15:00 i'm hurt\n15:30 finish\n", tmp_path)
    assert hurt.session.how == "hurt"
    early, _ = run(group(), "01:00 finish\n", tmp_path)
    assert early.session.recorded_seconds < 70
    lead_in, _ = run(
        group(), "00:04 pause\n00:30 carry on\n00:33 stay there\n00:50 next\n", tmp_path
    )
    assert lead_in.session.how == "done"


def stepped(given: Group, *events: Event) -> Group:
    for event in events:
        given, _ = step(given, event)
    return given


def test_what_can_not_happen_is_refused() -> None:
    given = group(ADULTS)
    with pytest.raises(RefusedError):
        step(given, TimePassed(1.0))
    begun, _ = step(given, Started(0.0))
    with pytest.raises(RefusedError):
        step(begun, Started(1.0))


def test_devices_come_and_go_and_a_sleep_is_a_pause() -> None:
    begun = stepped(group(ADULTS), Started(0.0), SpeechBegan(0.5, 0.4))

    deaf = stepped(begun, DeviceLost(1.0, "microphone", "gone"))
    assert look(deaf).ear is Ear.GONE
    assert look(stepped(deaf, DeviceReturned(2.0, "microphone"))).ear is Ear.SHUT
    assert stepped(begun, ClockJumped(3.0, 1.0)).phase is Phase.LEAD_IN
    slept = stepped(begun, ClockJumped(3.0, 600.0))
    assert slept.phase is Phase.PAUSED
    assert look(slept).word is Word.PAUSED
    assert stepped(begun, Reopened(3.0, 60.0)).phase is Phase.PAUSED
    assert begun.speech.saying is not None
    quiet = stepped(begun, TimePassed(30.0))
    assert quiet.speech.saying is not None
    assert quiet.speech.saying.sound == begun.speech.saying.sound + 1


def heard(at: float, key: str, **fields: object) -> Answered:
    plain = Answered(at, parse(key), 0, at, None, Source.VOICE)
    return replace(plain, **fields)  # type: ignore[arg-type]


def test_what_counts_when() -> None:
    begun = stepped(group(ADULTS), Started(0.0), SoundEnded(4.0, 1), SoundEnded(8.0, 2))
    assert begun.phase is Phase.WORK

    assert stepped(begun, heard(10.0, "stay")).standing is None, "no window, no address word"
    assert stepped(begun, heard(10.0, "stay", addressed=True)).standing is not None
    unsure = heard(10.0, "next", addressed=True, sureness=Sureness.UNSURE)
    assert stepped(begun, unsure).running == begun.running
    assert stepped(begun, unsure).speech.saying is not None
    unknown = Answered(10.0, Answer(Meaning.TOPPED), 0, 10.0)
    assert stepped(begun, unknown).did is not None
    assert stepped(begun, heard(10.0, "let-in", addressed=True)) == replace(begun, at=10.0)
    assert stepped(begun, Answered(10.0, parse("return"), 0, 10.0)) == replace(begun, at=10.0)
    assert stepped(begun, Answered(10.0, parse("done"), 0, 10.0)).running != begun.running


def test_the_view_tells_where_everybody_is(tmp_path: Path) -> None:
    done, seen = run(
        group(), "16:00 number one\n16:04 no\n17:00 stay there\n17:20 next\n", tmp_path
    )

    rota = [now for now, _, _ in seen.turns if now.act is Act.ROTA and now.phase is Phase.WORK]
    shown = [stands(now) for now in rota]
    for now, places in zip(rota, shown, strict=True):
        assert sorted(who for place in places for who in place.now) == list(now.here)
    assert any(stand.next for places in shown for stand in places)
    standing = [now for now in rota if now.standing is not None]
    assert {next_change(now) for now in standing} == {None}
    assert {look(now).word for now in standing} == {Word.STAY}
    assert look(done.session).answers == ()
    assert stands(done.session)[-1].now == ()
    states = [part.state for part in look(rota[0]).slope]
    assert states.count("now") == 1
    assert states[0] == "past"


@pytest.mark.parametrize(("people", "minutes"), [(12, 15), (12, 20), (30, 20), (6, 10), (20, 15)])
def test_short_times_are_ordinary(people: int, minutes: int) -> None:
    given = group((AgeBand.ADULT,) * people, minutes=minutes).programme

    assert given.seconds <= minutes * 60
    assert {who for team in given.teams.values() for who in team} == set(range(1, people + 1))
    assert {stop.kind for stop in given.stops} >= {"wall"}


def test_where_no_turn_fits_there_is_the_mat_and_it_is_said_what_would_do(tmp_path: Path) -> None:
    wall = (Station("wall", "wall", 5),)
    given = group((AgeBand.ADULT,) * 30, minutes=10, stations=wall)

    done, _ = run(given, "", tmp_path)

    assert given.programme.mat_only
    assert given.programme.warm
    assert done.session.how == "done"
    assert done.session.recorded_seconds <= 600 + 20
    told = more_time(given.options, library(), wall)
    needed = int(re.fullmatch(r".* are for (\d+) people\. .*--minutes (\d+) .*", told)[2])  # type: ignore[index]
    assert not group((AgeBand.ADULT,) * 30, minutes=needed, stations=wall).programme.mat_only
    assert group((AgeBand.ADULT,) * 30, minutes=needed - 1, stations=wall).programme.mat_only


def test_minutes_too_few_for_the_mat_are_refused() -> None:
    with pytest.raises(UsageError, match="too few for the mat"):
        group((AgeBand.ADULT,), minutes=3)


def test_a_group_is_read_back_from_what_it_began_with() -> None:
    given = group(late=(3,))
    start = Start(
        "group", 45, given.options.people, library(), "abc", "0", "", "",
        options_of(given.stations, (3,)), given.options, "group",
    )  # fmt: skip

    assert group_of(start) == given


def test_the_end_is_said_and_ends_the_loop(tmp_path: Path) -> None:
    _, seen = run(group(ADULTS), "", tmp_path)

    assert any(isinstance(effect, End) for effect in seen.turns[-1][2])


def test_what_is_told_while_all_stand_counts_when_it_goes_on(tmp_path: Path) -> None:
    words = "12:00 stay there\n12:05 stay there\n12:10 number six\n12:13 is late\n"
    words += "12:20 number six\n12:23 is late\n12:40 next\n"

    done, seen = run(group(), words, tmp_path)

    assert done.session.status(6) is Status.HERE
    assert any(
        isinstance(f, StepEnded) and f.who == 6 and f.block == "mat" and f.at > 760
        for f in seen.facts
    )


def test_the_bound_holds_for_the_whole_of_it() -> None:
    given = group()

    assert given.programme.bound <= given.programme.seconds <= 45 * 60


def test_what_somebody_may_not_do_gives_way_or_is_left_to_agreement() -> None:
    """Palm rocks load the wrists: whoever has hurting wrists is not told to do them."""
    hurting = ((1, Body.WRISTS, Feel.HURTING), (2, Body.WRISTS, Feel.HURTING))
    given = group(ADULTS, routine="mat-and-board", minutes=120, hurting=hurting)

    for one in (*given.programme.warm, *given.programme.down):
        kept = given.library.movements[one.form].load.get(Body.WRISTS, 0) == 0
        assert kept or one.eased or one.step.floor


def test_next_where_nothing_of_the_warm_up_is_lost(tmp_path: Path) -> None:
    given = group(ADULTS)
    down = given.programme.warm[3]

    done, _ = run(given, "03:10 next\n", tmp_path)

    assert done.session.how == "done"
    assert down.step.name


def test_where_nobody_may_hang_there_is_no_board(tmp_path: Path) -> None:
    given = group((AgeBand.UNDER_16,) * 3, routine="mat-and-board", minutes=60)

    done, _ = run(given, "", tmp_path)

    assert given.programme.stops == ()
    assert done.session.how == "done"


def test_a_form_without_an_easier_one_is_called_out_as_it_is() -> None:
    movements = dict(library("mat-and-board").movements)
    hang = replace(movements["largest-hang"], easier=None, also_easier=())
    changed = replace(library("mat-and-board"), movements={**movements, "largest-hang": hang})
    people = tuple(Person(who, age=AgeBand.ADULT) for who in (1, 2))

    given = new_group(changed, Options(people, 90.0), (*BOARDS, WALL))

    forms = {common.form for stop in given.programme.stops for common in stop.callouts}
    assert "largest-hang" in forms


def test_when_all_have_left_it_stands_and_is_saved_at_last(tmp_path: Path) -> None:
    words = "13:00 stay there\n13:10 number one\n13:13 is out\n13:20 number two\n13:23 is out\n"
    done, _ = run(group((AgeBand.ADULT,) * 2), words + "13:40 next\n", tmp_path)

    assert done.session.how == "ended"
    assert stepped(done.session, TimePassed(done.session.at + 60)).phase is Phase.OVER


def test_the_screen_in_the_common_part() -> None:
    begun = stepped(group(ADULTS), Started(0.0), SoundEnded(4.0, 1), SoundEnded(8.0, 2))

    assert look(begun).word is Word.STAY
    assert "next" in look(begun).answers
    shut = stepped(begun, TimePassed(40.0))
    assert look(shut).ear is Ear.SHUT
    assert "next" in look(shut).answers
    stopped = stepped(shut, Answered(41.0, parse("stop"), 0, 41.0))
    assert look(stopped).answers[:2] == ("resume", "finish")


def test_names_are_heard_as_numbers_are() -> None:
    heard_ = heard_from(load_language("en", library().movements), {2: "osk", 7: "runa"})

    assert heard_.answers["person:2"] == ("number two", "osk")
    assert heard_.answers["person:7"] == ("number seven", "runa")
    assert heard_.find("number one") == parse("person:1")


def test_why_somebody_is_kept_from_a_movement() -> None:
    given = group((AgeBand.ADULT,) * 3, routine="full", minutes=200)
    day, adult = given.programme.day, given.options.people[0]
    movements = library().movements

    assert why_not(movements["uneven-hang"], adult, day) == "check"
    assert why_not(movements["hard-try"], adult, day) == "check"
    assert why_not(movements["cat-arch"], adult, day) == ""


def test_what_waits_for_a_check_and_has_no_other_form_is_left_out() -> None:
    movements = dict(library("mat-and-board").movements)
    hang = replace(movements["uneven-hang"], easier=None, also_easier=())
    changed = replace(library("mat-and-board"), movements={**movements, "uneven-hang": hang})
    people = tuple(Person(who, age=AgeBand.ADULT) for who in (1, 2))

    given = new_group(changed, Options(people, 120.0), (*BOARDS, WALL))

    forms = {common.form for stop in given.programme.stops for common in stop.callouts}
    assert "uneven-hang" not in forms


def test_a_warning_sign_takes_somebody_out_at_any_time(tmp_path: Path) -> None:
    words = "13:00 sign:chest-pain\n13:10 number three\n13:30 carry on\n"
    done, _ = run(group(), words, tmp_path)
    on = "13:00 number three\n13:03 sign:head-knock\n13:40 carry on\n"
    named, _ = run(group(), on, tmp_path)

    for one in (done, named):
        assert one.session.status(3) is Status.HURT
        caps = {cap.part for cap in one.session.programme.day.caps if cap.who == 3 and not cap.most}
        assert caps == set(Body)
    assert named.session.how == "done"


def test_what_was_heard_unsurely_twice_the_same_is_taken() -> None:
    """In a loud hall "number eleven" was asked back again and again, and nothing could be told."""
    begun = stepped(group(ADULTS), Started(0.0))

    def heard(now: Group, key: str) -> Group:
        unsure = Sureness.UNSURE
        said = Answered(
            now.at + 5, parse(key), 0, now.at + 5, None, Source.VOICE, unsure, addressed=True
        )
        return stepped(now, said)

    once = heard(begun, "person:4")
    assert (once.about, heard(once, "person:4").about) == (0, 4)
    assert heard(heard(once, "person:5"), "person:4").about == 0


@pytest.mark.parametrize("meaning", [one for one in Meaning if one.nature.leader])
def test_whatever_raises_is_never_taken_from_a_leader_at_the_first_unsure_hearing(
    meaning: Meaning,
) -> None:
    said = Answered(10.0, Answer(meaning), 0, 10.0, None, Source.VOICE, Sureness.UNSURE)
    if Answer(meaning).tendency is Tendency.RAISING:
        assert leader.unsure(said)
    assert not leader.unsure(replace(said, sureness=Sureness.SURE))
