"""Which phrases count when: each case by hand, with phrases of the test's own."""

import pytest

from coach.hearing.vocabulary import Meant, Vocabulary, follows, pieces, says, words
from coach.model.answers import ANYTIME
from coach.session.effects import CloseWindow, OpenWindow

PHRASES = {
    "stop": ("stop now", "stop"), "hurt": ("i am hurt",), "done": ("all done", "i am done", "done"),
    "skip": ("skip that",), "easier": ("make it easier", "easier"), "move:5": ("move five",),
    "cause:foot": ("my foot",), "felt-harder": ("felt harder",), "topped": ("topped it",),
    "circuit:slate": ("slate",), "key-move:leap": ("a jump",), "style:slab": ("a slab",),
}  # fmt: skip
ALWAYS = {phrase for key in ANYTIME for phrase in PHRASES.get(key, ())}


def ear(*windows: OpenWindow, address: str = "", addressed: tuple[str, ...] = ()) -> Vocabulary:
    made = Vocabulary(PHRASES, address, addressed)
    for window in windows:
        made.open(window)
    return made


def test_a_window_counts_from_its_opening_to_its_closing() -> None:
    made = ear(OpenWindow(3, ("done",), 10.0, who=2, beside=("skip",), teaches="easier"))
    made.close(CloseWindow(3, 20.0))
    made.close(CloseWindow(3, 30.0))  # it is closed
    made.close(CloseWindow(4, 12.0))  # another
    inside = {phrase: Meant(key, 3, 2) for key in ("done", "skip", "easier")
              for phrase in PHRASES[key]}  # fmt: skip
    always = {phrase: Meant(key) for key in ("stop", "hurt") for phrase in PHRASES[key]}
    assert always.keys() == ALWAYS
    for onset, here in ((9.99, {}), (10.0, inside), (20.0, inside), (20.01, {})):
        assert made.at(onset, onset + 1) == always | here
        assert made.window_at(onset) == (3 if here else None)
        assert made.opened(onset) == (10.0 if here else None)
        assert made.taught(onset) == (("easier", 3) if here else ("", 0))
    assert made.at(15.0, 60.0) == always | inside  # by when it began, however long it lasts


def test_a_window_of_nobodys_in_particular_is_the_first_persons() -> None:
    assert ear(OpenWindow(1, ("done",), 0.0)).at(1.0, 2.0)["all done"] == Meant("done", 1, 1)
    assert Meant("done") == Meant("done", None, 1, addressed=False)


def test_a_later_window_ends_an_earlier_one_and_eight_are_remembered() -> None:
    windows = [OpenWindow(n, ("done",), 10.0 * n) for n in range(1, 10)]
    made = ear(*windows)
    seen = [made.window_at(10.0 * n + 5) for n in range(1, 10)]
    assert seen == [None, *range(2, 10)]
    assert made.window_at(30.0) == 3  # where both are open, the newer
    closed = ear(windows[0])
    closed.close(CloseWindow(1, 12.0))
    closed.open(windows[1])
    assert closed.window_at(13.0) is None  # what was closed stays closed when it was


def test_while_a_cue_sounds_only_what_counts_at_any_time_is_heard() -> None:
    made = ear(OpenWindow(1, ("done",), 0.0, teaches="skip"), address="coach", addressed=("done",))
    made.sounding("Breathe out.", 5.0, None)
    assert made.cue_at(5.0)
    assert made.cue_at(99.0)
    made.sounding("Breathe out.", 5.0, 7.0)
    for onset, sounds in ((4.9, False), (5.0, True), (6.9, True), (7.0, False)):
        assert made.cue_at(onset) is sounds
        heard = made.at(onset, onset + 0.01)
        assert ("all done" in heard) is not sounds
        assert ("coach, all done" in heard) is not sounds
        assert heard.keys() >= ALWAYS
        assert made.taught(onset) == (("", 0) if sounds else ("skip", 1))
    made.sounding("", 8.0, 9.0)  # a tone says nothing
    assert not made.cue_at(8.5)


def test_what_a_cue_says_is_not_heard_while_it_sounds_and_a_little_after() -> None:
    made = ear(OpenWindow(1, ("done", "skip"), 0.0))
    made.sounding("Stop now, or: 'All done'!", 5.0, 7.0)
    said = {"stop now", "stop", "all done", "done"}
    every = made.at(1.0, 2.0).keys()
    assert said <= every
    for onset, end, heard in ((3.0, 5.0, every), (3.0, 5.01, every - said),
                              (7.2, 8.0, every - said), (7.31, 8.0, every)):  # fmt: skip
        assert made.at(onset, end).keys() == heard
    assert made.own_words(6.0, 6.5) == tuple(pieces("stop now or all done"))
    assert made.own_words(8.0, 9.0) == ()
    for n in range(8):
        made.sounding("Breathe.", 10.0 + n, 10.5 + n)
    assert made.at(6.9, 7.0).keys() == every  # eight cues are remembered


def test_after_its_name_two_phrases_of_each_answer_count_outside_windows() -> None:
    made = ear(address="coach", addressed=("done", "easier", "time-left"))
    wanted = {f"coach, {phrase}": Meant(key, addressed=True) for key in ("done", "easier")
              for phrase in PHRASES[key][:2]}  # fmt: skip
    heard = made.at(1.0, 2.0)
    assert {phrase: heard[phrase] for phrase in wanted} == wanted
    assert heard.keys() == ALWAYS | wanted.keys()
    assert ear().at(1.0, 2.0).keys() == ALWAYS


def test_after_a_part_of_a_try_more_of_it_counts_in_the_same_breath() -> None:
    made = ear(OpenWindow(6, ("move:5",), 0.0, who=2))
    made.close(CloseWindow(6, 3.0))
    made.heard(Meant("move:5", 6, 2), 4.0)
    more = {"my foot", "felt harder", "topped it"} & {
        phrase for key in follows("move:5", PHRASES) for phrase in PHRASES.get(key, ())
    }
    assert "my foot" in more
    for onset, heard in ((5.5, True), (5.51, False)):
        found = made.at(onset, onset + 1)
        assert (more <= found.keys()) is heard
        assert not heard or {found[phrase] for phrase in more} == {
            Meant(key, 6, 2) for key, some in PHRASES.items() if set(some) & more
        }
    for meant in (Meant("done", 6), Meant("move:5", None)):  # nothing follows
        other = ear(OpenWindow(6, ("done",), 0.0))
        other.close(CloseWindow(6, 3.0))
        other.heard(meant, 4.0)
        assert other.at(4.5, 5.0).keys() == ALWAYS


@pytest.mark.parametrize("key", ["key-move:leap", "style:slab", "circuit:slate", "hand:left"])
def test_what_describes_a_boulder_is_followed_by_more_of_it(key: str) -> None:
    more = follows(key, PHRASES)
    assert {"key-move:leap", "style:slab", "move:5", "hand:left", "circuit:slate"} <= {*more}
    assert "stop" not in more


def test_what_tells_how_a_try_went_is_followed_by_the_rest_of_it() -> None:
    for key in ("move:5", "topped", "cause:foot", "felt-harder"):
        more = follows(key, PHRASES)
        assert "cause:foot" in more
        assert "circuit:slate" not in more
    assert follows("done", PHRASES) == ()


def test_words_are_compared_plainly() -> None:
    assert (
        words("  Don\N{RIGHT SINGLE QUOTATION MARK}t STOP -- it's 5 a.m.!")
        == "don't stop it's 5 a m"
    )
    assert words("say 'all done'") == "say all done"
    assert says("so stop now please", "Stop now!")
    assert not says("nonstop now", "stop now")
    assert pieces("a b c d") == ["a", "b", "c", "d", "a b", "b c", "c d", "a b c", "b c d"]
    assert pieces("") == []
