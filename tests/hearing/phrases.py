"""A few answers with their phrases, as a language pack gives them."""

PHRASES: dict[str, tuple[str, ...]] = {
    "stop": ("stop now", "stop", "stop stop"),
    "pause": ("wait a moment", "pause", "take a pause"),
    "hurt": ("I got hurt", "I'm injured", "I fell"),
    "feel:fingers:sore": ("my fingers are sore", "sore fingers", "fingers sore"),
    "feel:sore": ("feeling sore", "I'm sore"),
    "done": ("I'm done", "all done", "done"),
    "skip": ("skip that", "skip this", "skip"),
    "more-time": ("more time", "need more time"),
    "easier": ("make it easier", "something easier"),
    "resume": ("keep going", "carry on"),
    "finish": ("let's finish", "finish here"),
    "feel:tired": ("I'm tired", "feeling tired"),
    "feel:fine": ("I'm fine", "feeling fine"),
    "another": ("one more",),
    "enough": ("that's enough",),
    "go": ("let's try", "I'm going"),
    "not-today": ("let's not", "not today"),
}
