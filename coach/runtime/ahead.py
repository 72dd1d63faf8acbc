"""The sentences that a session will probably say, so that the voice can make them ready ahead."""

import re
from typing import Any

from coach.language import Language
from coach.model.messages import Message
from coach.runtime.rehearsal import rehearse
from coach.session.kinds import Kind, Stepped
from coach.session.state import Phase

_SLOT = re.compile(r"[{}]")


def likely(kind: Kind[Any], session: Stepped, language: Language) -> tuple[str, ...]:
    """What is said when nobody answers, in order; then every sentence that needs no value."""
    said: list[str] = []
    if session.phase is Phase.NEW:
        transcript = rehearse(session, language, (), kind=kind).transcript
        said = [entry.text for entry in transcript.entries if entry.kind == "said"]
    fixed = [
        language.text(Message(key))
        for key, sentence in language.says.items()
        if not _SLOT.search(sentence) and not key.startswith(_SHOWN)
    ]
    return tuple(dict.fromkeys([*said, *fixed]))


#: Sentences that are only ever shown.
_SHOWN = ("screen-", "word-", "ear-", "block-", "dose-")
