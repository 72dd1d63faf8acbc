"""The web app under load, on loopback: `python -m tests.bench.web [VIEWERS]`.

A real session in a process of its own is watched by 50 viewers, while some clients say nothing and
some send nonsense. Prints when the first byte of a page comes and when a browser has drawn it, how
long a press takes until its tone is on the record, memory and processor for each viewer, and how
long the end takes.
"""

import os
import shutil
import sqlite3
import statistics
import sys
import tempfile
import threading
import time
from contextlib import suppress
from datetime import datetime
from importlib.util import find_spec
from pathlib import Path

import httpx

from tests.web.browser import CHROMIUM, browser, opened
from tests.web.sessions import links_of, started


def memory(pid: int) -> float:
    """Proportional set size of a process in MiB."""
    text = Path(f"/proc/{pid}/smaps_rollup").read_text("utf-8")
    return next(int(x.split()[1]) for x in text.splitlines() if x.startswith("Pss:")) / 1024


def spent(pid: int) -> float:
    """Processor seconds of a process."""
    fields = Path(f"/proc/{pid}/stat").read_text("utf-8").rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def view(link: str, stop: threading.Event, ready: threading.Semaphore) -> None:
    """Follow a page until told to stop."""
    with suppress(httpx.HTTPError), httpx.stream("GET", f"{link}events", timeout=30) as reply:
        for line in reply.iter_lines():
            if line.startswith("event: scene"):
                ready.release()
            if stop.is_set():
                return


def hostile(link: str, stop: threading.Event) -> None:
    """Send what no page sends, twenty times a second."""
    with httpx.Client(timeout=5) as client:
        while not stop.is_set():
            with suppress(httpx.HTTPError):
                client.post(f"{link}press", content=b"x" * 3000)
                client.get(link, headers={"Host": "elsewhere"})
            time.sleep(0.05)


def presses(link: str, journal: Path, count: int) -> list[float]:
    """Seconds from a press to the first sound after it, by the clock on the wall.

    As from a page: over a connection that is there already, by a client that is.
    """
    found = []
    client = httpx.Client(headers={"Accept": "application/json"})
    client.get(link)
    for n in range(count):
        what = ("pause", "resume")[n % 2]
        began = datetime.now().astimezone()
        reply = client.post(f"{link}press", data={"what": what, "state": ""})
        assert reply.status_code == 200, f"press {n} was refused: {reply.status_code}"
        time.sleep(1.5)
        with sqlite3.connect(f"file:{journal}?mode=ro", uri=True) as record:
            rows = record.execute(
                "SELECT wall FROM event WHERE kind = 'SoundStarted' ORDER BY session, seq"
            ).fetchall()
        after = [datetime.fromisoformat(wall) for (wall,) in rows]
        later = [one for one in after if one >= began]
        if later:
            found.append((later[0] - began).total_seconds())
    return found


def first_picture(link: str) -> str:
    """When Chromium has painted the page, everything outside blocked; why not, where it can't."""
    if CHROMIUM is None or find_spec("playwright") is None:
        return "no browser here"
    with browser() as chromium, opened(chromium, link, 390, 844) as (page, outside):
        page.wait_for_selector("#cue:not(:empty)")
        paint = "performance.getEntriesByName('first-contentful-paint')[0].startTime"
        took = page.evaluate(paint) / 1000.0
    return f"{took:6.3f} s, {len(outside)} asked for outside"


def main() -> None:
    """Run it and print the table."""
    viewers = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    home = tempfile.mkdtemp()
    os.environ["COACH_HOME"] = home
    words = ("start", "--minutes", "90", "--age", "adult", "--hurting", "no", "--same-place")
    running = started(*words)
    links = links_of(running)
    watch, answer = links["To watch"], links["To answer, person 1"]
    began = time.perf_counter()
    httpx.get(watch)
    print(f"first page               {time.perf_counter() - began:6.3f} s")
    print(f"first picture            {first_picture(watch)}")
    time.sleep(1.0)
    before, at = memory(running.pid), spent(running.pid)
    time.sleep(5.0)
    alone = (spent(running.pid) - at) / 5.0
    stop, ready = threading.Event(), threading.Semaphore(0)
    for _ in range(viewers):
        threading.Thread(target=view, args=(watch, stop, ready), daemon=True).start()
    for _ in range(viewers):
        ready.acquire(timeout=20)
    threading.Thread(target=hostile, args=(watch, stop), daemon=True).start()
    at = spent(running.pid)
    journal = next(Path(home).rglob("*.db"))
    took = sorted(presses(answer, journal, 20))
    busy = (spent(running.pid) - at) / 30.0
    after = memory(running.pid)
    print(f"memory a viewer          {(after - before) / viewers:6.2f} MiB")
    print(f"processor without, with  {100 * alone:6.1f} % {100 * busy:6.1f} %")
    if took:
        p95 = took[max(-(-95 * len(took) // 100) - 1, 0)]
        print(f"press to sound p50, p95  {statistics.median(took):6.3f} s {p95:6.3f} s")
    began = time.perf_counter()
    running.send_signal(2)
    running.communicate(timeout=20)
    print(f"end with all watching    {time.perf_counter() - began:6.3f} s")
    stop.set()
    shutil.rmtree(home, ignore_errors=True)


if __name__ == "__main__":
    main()
