"""Takes a picture of a page in headless Chromium.

`python -m tests.web.picture URL PNG [WIDTH HEIGHT SECONDS]`

Chromium is Debian's package; it is spoken to by its debugging protocol, because a page that draws a
terminal needs real seconds. Prints what the terminal of the page measures, where it has one.
"""

import asyncio
import base64
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import aiohttp

FLAGS = (
    "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --hide-scrollbars "
    "--disable-background-networking --disable-component-update --disable-sync"
).split()

#: Rows, columns and the height of a row, from the terminal that the page holds.
MEASURE = """JSON.stringify((() => {
  const rows = document.querySelector('.xterm-rows, .xterm-screen canvas, .xterm-screen');
  const box = rows ? rows.getBoundingClientRect() : {width: 0, height: 0};
  return {width: box.width, height: box.height};
})())"""


async def picture(url: str, path: Path, size: tuple[int, int], seconds: float) -> str:
    """Open the page, wait, write a PNG; what the page measures, as JSON."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["chromium", *FLAGS, f"--user-data-dir={folder}", "--remote-debugging-port=0"]
        command += [f"--window-size={size[0]},{size[1]}", "about:blank"]
        with subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
        ) as browser:
            try:
                return await _taken(Path(folder), url, path, size, seconds)
            finally:
                browser.terminate()


async def _taken(folder: Path, url: str, path: Path, size: tuple[int, int], seconds: float) -> str:
    told = folder / "DevToolsActivePort"
    for _ in range(200):
        if told.exists() and "\n" in told.read_text():
            break
        await asyncio.sleep(0.1)
    port = told.read_text().split("\n")[0]
    async with aiohttp.ClientSession() as session:
        async with session.get(f"http://127.0.0.1:{port}/json") as reply:
            page = next(one for one in await reply.json() if one["type"] == "page")
        async with session.ws_connect(page["webSocketDebuggerUrl"], max_msg_size=0) as socket:
            count = 0

            async def call(method: str, **params: object) -> dict[str, object]:
                nonlocal count
                count += 1
                await socket.send_json({"id": count, "method": method, "params": params})
                while True:
                    reply = json.loads((await socket.receive()).data)
                    if reply.get("id") == count:
                        result: dict[str, object] = reply["result"]
                        return result

            wide, high = size
            screen = {"width": wide, "height": high, "deviceScaleFactor": 1, "mobile": False}
            await call("Emulation.setDeviceMetricsOverride", **screen)
            await call("Page.navigate", url=url)
            await asyncio.sleep(seconds)
            shot = await call("Page.captureScreenshot", format="png")
            path.write_bytes(base64.b64decode(str(shot["data"])))
            measured = await call("Runtime.evaluate", expression=MEASURE)
            return json.dumps(measured)


if __name__ == "__main__":
    given = sys.argv[1:]
    wide, high, wait = (int(n) for n in (given[2:5] or ("1107", "623", "15")))
    print(asyncio.run(picture(given[0], Path(given[1]), (wide, high), float(wait))))
