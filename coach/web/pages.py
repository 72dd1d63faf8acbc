"""The page as HTML, drawn on this side: it says the same with scripts off, where it reloads.

One page serves every role and size. What it needs lies in `static/`; nothing comes from outside.
"""

from html import escape

from coach.language import Language
from coach.model.messages import message
from coach.web.presses import UNDO
from coach.web.roles import Pass, Role
from coach.web.scene import Button, Scene, StationScene

#: Seconds after which a page without scripts looks again.
RELOAD = 5
#: Answers that the fixed buttons give already.
_OWN_BUTTON = frozenset({"pause", "resume", "hurt", "stop"})


def page(scene: Scene, by: Pass, language: Language, reply: str = "", waits: int = 0) -> str:
    """The whole page of a role; `waits` is the number of a press that can be taken back."""
    text = Text(language)
    return (
        f'<!doctype html>\n<html lang="{escape(language.code)}" data-role="{by.role.value}">\n'
        '<head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="theme-color" content="#101418">'
        f"<title>{text('web-title')}</title>"
        '<link rel="stylesheet" href="static/page.css">'
        '<link rel="icon" href="static/icon.svg" type="image/svg+xml">'
        '<link rel="manifest" href="app.webmanifest">'
        f'<noscript><meta http-equiv="refresh" content="{RELOAD}"></noscript>'
        '<script src="static/page.js" defer></script></head>\n'
        f'<body><header><h1 id="word">{escape(scene.word)}</h1>'
        '<p id="clock" role="timer" aria-live="off"></p>'
        f'<p id="turn">{_turn(scene, text)}</p></header>\n'
        f'<main><h2 id="title">{escape(scene.title)}</h2>'
        f'<p id="cue" role="status" aria-live="polite">{escape(scene.cue)}</p>'
        f'<p id="did">{escape(scene.did)}</p>'
        f"{_buttons(scene, by, text, reply, waits)}"
        f'<ul id="stations" aria-label="{text("web-stations")}">{_stations(scene, by, text)}</ul>'
        f"{_watching(by, text)}</main></body></html>\n"
    )


class Text:
    """Sentences of the pack, safe to stand in HTML."""

    def __init__(self, language: Language) -> None:
        self._language = language

    def __call__(self, key: str, **values: str | int | float) -> str:
        """The sentence of a key."""
        return escape(self._language.text(message(key, **values)))


def _turn(scene: Scene, text: Text) -> str:
    if scene.turn:
        return escape(scene.turn)
    return text("web-next", name=scene.next) if scene.next else ""


def _stations(scene: Scene, by: Pass, text: Text) -> str:
    return "".join(
        f"<li><h3>{escape(one.name)}</h3>"
        f'<p class="here">{_people(one.now, by)}</p>'
        + (f'<p class="next">{text("web-then")} {_names(one.next)}</p>' if one.next else "")
        + "</li>"
        for one in (*scene.stations, *_away(scene, text))
    )


def _away(scene: Scene, text: Text) -> tuple[StationScene, ...]:
    """Who is not here, as one more place; it is empty for all but a leader."""
    return (StationScene(text("web-away"), scene.away, ()),) if scene.away else ()


def _people(people: tuple[Button, ...], by: Pass) -> str:
    """Names; for a leader each is a button that names the person."""
    if by.role is Role.LEADER:
        return " ".join(
            f'<button form="presses" name="what" value="{one.key}">{escape(one.label)}</button>'
            for one in people
        )
    return _names(people) or "-"


def _names(people: tuple[Button, ...]) -> str:
    return " ".join(f"<span>{escape(one.label)}</span>" for one in people)


def _watching(by: Pass, text: Text) -> str:
    """For who may press nothing: that it is so, and whether the line is lost."""
    if by.role is not Role.WATCH:
        return ""
    return f'<p id="watching">{text("web-watching")}</p><p id="link" hidden>{text("web-lost")}</p>'


def _buttons(scene: Scene, by: Pass, text: Text, reply: str, waits: int) -> str:
    """The answers; and in a bar that is always to be seen what came of it, pause and hurt."""
    if by.role is Role.WATCH:
        return ""
    rows = [_button(one, scene) for one in scene.offers if one.key not in _OWN_BUTTON]
    stand = ("resume", "web-resume") if scene.standing else ("pause", "web-pause")
    fixed = [
        _fixed(stand[0], text(stand[1]), scene),
        _fixed("hurt", text("web-hurt"), scene),
    ]
    undo = (
        f'<button name="what" value="{UNDO}:{waits}" class="undo">{text("web-undo")}</button>'
        if waits
        else ""
    )
    return (
        '<form id="presses" method="post" action="press">'
        f'<input type="hidden" name="state" value="{escape(scene.state)}">'
        f'<div id="offers">{"".join(rows)}</div><div id="bar">'
        f'<p id="reply" role="status" aria-live="assertive">{escape(reply)}</p>'
        f'<p id="link" hidden>{text("web-lost")}</p>'
        f'<div id="undo">{undo}</div><div id="fixed">{"".join(fixed)}</div></div></form>'
    )


def _button(one: Button, scene: Scene) -> str:
    return _fixed(one.key, escape(one.label), scene)


def _fixed(key: str, label: str, scene: Scene) -> str:
    gone = " disabled" if scene.over else ""
    return f'<button name="what" value="{escape(key)}"{gone}>{label}</button>'


def labels(language: Language) -> dict[str, str]:
    """What the script of the page says by itself."""
    keys = (
        "web-pause",
        "web-resume",
        "web-hurt",
        "web-undo",
        "web-next",
        "web-then",
        "web-lost",
        "web-away",
    )
    return {key.removeprefix("web-"): language.text(message(key, name="{name}")) for key in keys}
