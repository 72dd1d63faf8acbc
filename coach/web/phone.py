"""The pages of our own: three large buttons for a phone, and the way to the large view.

The phone's page says what was pressed, and knows nothing else.
"""

from coach.screen.large import legible

#: What the buttons send, and what they are called.
PRESSES = {"done": "Done", "pause": "Pause", "hurt": "Hurt"}

_STYLE = """
html, body { margin: 0; height: 100%; background: #14181c; color: #eef2f4;
  font: 600 1.1rem/1.3 system-ui, sans-serif; }
main { display: flex; flex-direction: column; height: 100%; gap: 2vh; padding: 3vh 5vw;
  box-sizing: border-box; }
button { flex: 1; border: .35rem solid #eef2f4; border-radius: .6rem; background: transparent;
  color: inherit; font: inherit; font-size: 14vmin; touch-action: manipulation; }
button:active { background: #39444d; }
p { margin: 0; min-height: 1.4em; text-align: center; }
"""

_SCRIPT = """
const told = document.querySelector('p');
for (const button of document.querySelectorAll('button')) {
  button.addEventListener('click', async () => {
    told.textContent = '...';
    const form = new URLSearchParams({what: button.value});
    try {
      const reply = await fetch('press', {method: 'POST', body: form});
      told.textContent = await reply.text();
    } catch {
      told.textContent = 'No connection: say it, or use a key.';
    }
  });
}
"""


#: Width of a letter and height of a row of the library's terminal, as shares of its font size: its
#: letters are 0.6 wide; the height is what headless Chromium measured (34 of 30 px).
LETTER, ROW = 0.6, 1.135


def large_page() -> str:
    """Goes on to the large view with letters as large as 5 m and 50 inches ask, on any screen."""
    columns, rows = legible(50.0, 5.0)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>Coach</title></head>'
        "<body><script>\n"
        f"const wide = innerWidth / {columns} / {LETTER}, high = innerHeight / {rows} / {ROW};\n"
        "location.replace('/?fontsize=' + Math.floor(Math.min(wide, high)));\n"
        "</script></body></html>\n"
    )


def page() -> str:
    """The whole page."""
    buttons = "\n".join(
        f'<button type="button" value="{what}">{label}</button>' for what, label in PRESSES.items()
    )
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Coach</title><style>{_STYLE}</style></head>\n"
        f'<body><main>\n{buttons}\n<p role="status"></p>\n</main>'
        f"<script>{_SCRIPT}</script></body></html>\n"
    )
