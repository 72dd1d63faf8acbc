"""What stands on a page and in a scene, read by a parser of HTML that knows nothing of ours."""

from dataclasses import asdict, dataclass, field, fields, replace
from html.parser import HTMLParser

import pytest

from coach.model.messages import message
from coach.model.person import Person
from coach.session.kinds import Stand
from coach.session.view import Word
from coach.web.pages import page
from coach.web.roles import Pass, Role
from coach.web.scene import Button, Scene, Shown, StationScene, scene_of, state_of
from tests.web.sessions import language
from tests.web.test_presses import begun

WORDS = language()
WATCH, CLIMBER, LEADER = Pass(Role.WATCH), Pass(Role.CLIMBER, 1), Pass(Role.LEADER)
OSK, RUNA = Button("person:7", "Osk"), Button("person:9", "Runa")
OFFERS = (Button("done", "done"), Button("feel:sore", "sore"), Button("pause", "pause"),
          Button("resume", "carry on"), Button("hurt", "hurt"), Button("stop", "stop"))  # fmt: skip
FULL = Scene("s1", "rest", title="Wall", cue="Rest.", did="Noted.", turn="Osk", next="Runa",
             stations=(StationScene("wall", (OSK, RUNA), (RUNA,)), StationScene("mat", (), ())),
             away=(Button("person:3", "Ilva"),), offers=OFFERS)  # fmt: skip
_ALONE = {"meta", "link", "input"}
#: What holds text; all else only holds what does.
_SPOKEN = {"title", "h1", "h2", "h3", "p", "span", "button"}


@dataclass
class Element:
    """One element: its attributes, the text within it, what it stands in."""

    tag: str
    has: dict[str, str | None]
    inside: "Element | None"
    text: str = ""
    within: list["Element"] = field(default_factory=list)


class Read(HTMLParser):
    """The elements of a page, in their order; fails where one is left open, or text is astray."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.all: list[Element] = []
        self._open: list[Element] = []
        self.feed(text)
        self.close()
        assert not self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        made = Element(tag, dict(attrs), self._open[-1] if self._open else None)
        self.all.append(made)
        if self._open:
            self._open[-1].within.append(made)
        if tag not in _ALONE:
            self._open.append(made)

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop().tag == tag

    def handle_data(self, data: str) -> None:
        assert not data.strip() or self._open[-1].tag in _SPOKEN, data
        for one in self._open:
            one.text += data

    def find(self, **has: str) -> list[Element]:
        return [one for one in self.all if has.items() <= one.has.items()]

    def text(self, name: str) -> str | None:
        found = self.find(id=name)
        return found[0].text if found else None

    def buttons(self, inside: str = "") -> list[tuple[str | None, str, bool]]:
        every = self.all if not inside else self.find(id=inside)[0].within
        return [
            (one.has["value"], one.text, "disabled" in one.has)
            for one in every
            if one.tag == "button"
        ]


def read(scene: Scene, by: Pass, reply: str = "", waits: int = 0) -> Read:
    return Read(page(scene, by, WORDS, reply, waits))


def test_what_is_read_from_afar_and_near() -> None:
    shown = read(FULL, WATCH)
    names = ("word", "turn", "title", "cue", "did", "clock")
    assert [shown.text(one) for one in names] == ["rest", "Osk", "Wall", "Rest.", "Noted.", ""]
    assert read(replace(FULL, turn=""), WATCH).text("turn") == "Next: Runa"
    assert read(replace(FULL, turn="", next=""), WATCH).text("turn") == ""


def test_a_page_is_whole_with_scripts_off() -> None:
    """It looks again every five seconds, is drawn for a phone, and reads its parts aloud."""
    text = page(FULL, CLIMBER, WORDS)
    assert text.startswith("<!doctype html>\n")
    shown = Read(text)
    refresh = next(one for one in shown.all if one.has.get("http-equiv") == "refresh")
    assert refresh.has["content"] == "5"
    assert refresh.inside is not None
    assert refresh.inside.tag == "noscript"
    assert shown.find(lang="en")[0].has["data-role"] == "climber"
    assert shown.find(name="viewport")[0].has["content"] == "width=device-width, initial-scale=1"
    linked = {one.has["rel"]: one.has["href"] for one in shown.all if one.tag == "link"}
    assert linked == {"stylesheet": "static/page.css", "icon": "static/icon.svg",
                      "manifest": "app.webmanifest"}  # fmt: skip
    assert [one.has for one in shown.all if one.tag == "script"] == [
        {"src": "static/page.js", "defer": None}
    ]
    spoken = {name: shown.find(id=name)[0].has["aria-live"] for name in ("cue", "reply", "clock")}
    assert spoken == {"cue": "polite", "reply": "assertive", "clock": "off"}
    assert shown.find(id="stations")[0].has["aria-label"] == "Who is where"
    assert next(one.text for one in shown.all if one.tag == "title") == "Coach"


def test_who_is_where_and_only_a_leader_can_name_them() -> None:
    for by in (WATCH, CLIMBER, LEADER):
        shown = read(FULL, by)
        heads = [one.text for one in shown.all if one.tag == "h3"]
        here = [one.text for one in shown.all if one.has.get("class") == "here"]
        then = [one.text for one in shown.all if one.has.get("class") == "next"]
        assert heads == ["wall", "mat", "Not here"]
        assert here == ["Osk Runa", "" if by is LEADER else "-", "Ilva"]
        assert then == ["then Runa"]
        named = shown.buttons("stations")
        if by is not LEADER:
            assert [one for one in shown.all if one.has.get("form")] == []
            continue
        assert named == []  # each stands in a place of its own
        people = [one.has for one in shown.all if one.has.get("form") == "presses"]
        assert [one["value"] for one in people] == ["person:7", "person:9", "person:3"]
        assert all(one["name"] == "what" for one in people)
    assert "Not here" not in page(replace(FULL, away=()), LEADER, WORDS)


def test_who_watches_has_no_button_and_is_told_so() -> None:
    shown = read(FULL, WATCH, "reply", 4)
    assert shown.buttons() == []
    assert shown.text("watching") == "This link only watches."
    assert shown.find(id="link")[0].has["hidden"] is None
    assert shown.text("link") == "No connection. Say it, or press a key."
    assert read(FULL, CLIMBER).text("watching") is None


@pytest.mark.parametrize("over", [False, True])
@pytest.mark.parametrize("standing", [False, True])
def test_the_buttons_of_who_answers(standing: bool, over: bool) -> None:
    """Each answer once; pause or carry on, and hurt, stay where a thumb finds them."""
    scene = replace(FULL, standing=standing, over=over, offers=OFFERS)
    shown = read(scene, CLIMBER, "Done.", 0)
    stand = ("resume", "Carry on", over) if standing else ("pause", "Pause", over)
    assert shown.buttons("offers") == [("done", "done", over), ("feel:sore", "sore", over)]
    assert shown.buttons("fixed") == [stand, ("hurt", "Somebody is hurt", over)]
    assert shown.buttons("undo") == []
    assert shown.text("reply") == "Done."
    form = shown.find(id="presses")[0]
    assert (form.has["method"], form.has["action"]) == ("post", "press")
    assert shown.find(name="state")[0].has["value"] == "s1"
    assert [one.has["id"] for one in shown.find(id="bar")[0].within] == [
        "reply", "link", "undo", "fixed",
    ]  # fmt: skip
    back = read(scene, LEADER, "", 12)
    assert back.buttons("undo") == [("take-back:12", "Take it back", False)]


def test_no_text_of_anybody_becomes_markup() -> None:
    bad = '<b id="x">&amp;"\''
    button = Button(bad, bad)
    scene = Scene(bad, bad, bad, bad, bad, bad, bad, bad, away=(button,), offers=(button,),
                  stations=(StationScene(bad, (button,), (button,)),))  # fmt: skip
    for by in (WATCH, CLIMBER, LEADER):
        shown = read(scene, by, bad, 1)
        assert not [one for one in shown.all if one.tag == "b"]
        assert [shown.text(one) for one in ("word", "title", "cue", "did", "turn")] == [bad] * 5
        assert [one.text for one in shown.all if one.tag == "h3"] == [bad, "Not here"]


def test_a_scene_holds_what_the_view_shows() -> None:
    view = replace(begun(1).view(), turn=2, next=1, heard=message("web-hurt"),
                   did=message("web-away"), counts_from=1.0, counts_to=2.0, stands_at=3.0,
                   ends_at=4.0, asks=2)  # fmt: skip
    people = (Person(1, "Osk"), Person(2), Person(3))
    stands = (Stand("wall", (1,), (2,)), Stand("mat", (), ()))
    scene = scene_of(Shown(view, 5.0, people, stands), WORDS)
    assert (scene.turn, scene.next) == ("2", "Osk")
    assert (scene.heard, scene.did) == ("Somebody is hurt", "Not here")
    times = scene.counts_from, scene.counts_to, scene.stands_at, scene.ends_at, scene.now
    assert times == (1.0, 2.0, 3.0, 4.0, 5.0)
    assert scene.word == WORDS.text(message(f"word-{view.word.value}"))
    assert (scene.cue, scene.title) == (WORDS.text(view.cue), WORDS.text(view.step))
    osk, two, three = Button("person:1", "Osk"), Button("person:2", "2"), Button("person:3", "3")
    assert scene.stations == (StationScene("wall", (osk,), (two,)), StationScene("mat", (), ()))
    assert scene.away == (two, three)
    assert scene.asks == 2
    assert {one.key for one in scene.offers} == set(view.answers)
    silent = replace(view, turn=0, next=0, heard=None, did=None)
    bare = scene_of(Shown(silent, 5.0, people), WORDS)
    assert (bare.turn, bare.next, bare.heard, bare.did, bare.away) == ("", "", "", "", ())


def test_a_scene_stands_or_is_over_as_its_word_says() -> None:
    view, people, stands = begun(1).view(), (Person(1),), (Stand("wall", (), ()),)
    for word in Word:
        for told in (False, True):
            shown = replace(view, word=word)
            scene = scene_of(Shown(shown, 0.0, people, stands, over=told), WORDS)
            assert scene.standing is (word in (Word.PAUSED, Word.STOPPED))
            assert scene.over is (told or word is Word.OVER)
            assert bool(scene.away) is not scene.over
            assert scene.state == state_of(shown, over=told)
    none = scene_of(None, WORDS)
    assert none == Scene("none", "", cue="No session is running.")


def test_what_raises_never_stands_first() -> None:
    view = replace(begun(1).view(), answers=("harder", "done", "easier"))
    offers = [one.key for one in scene_of(Shown(view, 0.0, (Person(1),)), WORDS).offers]
    assert offers == ["done", "easier", "harder"]


def test_the_name_of_a_state_changes_with_what_a_press_would_be_about() -> None:
    view = begun(1).view()
    same = replace(view, cue=message("web-hurt"), counts_to=1.0, did=message("web-away"))
    others = [
        replace(view, word=Word.PAUSED), replace(view, window=99), replace(view, turn=7),
        replace(view, step=message("web-hurt")),
    ]  # fmt: skip
    names = [state_of(view), state_of(view, over=True), *map(state_of, others)]
    assert state_of(same) == state_of(view)
    assert len(set(names)) == len(names)
    assert {len(name) for name in names} == {12}


def test_each_sees_no_more_than_is_theirs() -> None:
    """Of a question to one, only her phone has the answers; a watcher has none of anything."""
    scene = replace(FULL, asks=2, heard="hurt")
    assert [bool(scene.of(who).offers) for who in (1, 2)] == [False, True]
    assert Pass(Role.CLIMBER, 1).sees(scene).offers == ()
    assert Pass(Role.CLIMBER, 2).sees(scene) == LEADER.sees(scene) == scene
    assert Pass(Role.CLIMBER, 1).sees(replace(scene, asks=0)).offers == OFFERS
    hidden = {"heard": "", "did": "", "turn": "", "away": (), "offers": (), "asks": 0}
    assert WATCH.sees(scene) == replace(scene, **hidden)  # type: ignore[arg-type]
    assert WATCH.sees(replace(scene, stations=())).turn == "Osk"
    assert set(scene.document()) == {one.name for one in fields(Scene)}
    assert scene.document() == asdict(scene)
