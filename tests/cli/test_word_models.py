"""`coach words model`: models are fetched from our own server, checked, unpacked, or refused."""

import errno
import hashlib
import io
import json
import re
import threading
import zipfile
from collections import namedtuple
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from coach.errors import ExitCode
from coach.files.model_sources import load_models
from coach.files.settings import load_settings
from coach.hearing import vosk_models
from coach.hearing.fetching import FetchError, fetch
from coach.hearing.recognisers import FIGURES, NAMES
from coach.hearing.vosk_models import ModelError
from tests.cli.conftest import Coach

NAME = "vosk-model-small-de-0.15"


def zipped(files: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        for name, data in files.items():
            file.writestr(name, data)
    return out.getvalue()


#: Half a megabyte that doesn't compress, in a folder as models come.
FILLER = np.random.default_rng(1).bytes(600_000)
MODEL = zipped({f"{NAME}/conf/model.conf": b"--x=1\n", f"{NAME}/am/final.mdl": FILLER})
SHA256 = hashlib.sha256(MODEL).hexdigest()


class Server:
    """A web server that knows ranges, and can break off, change the file, or hide its length."""

    def __init__(self) -> None:
        self.data = MODEL
        self.tag = '"one"'
        self.ranges: list[str] = []
        self.breaks_at: int | None = None
        self.says_length = True
        self.code = 200
        outer = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                outer.serve(self)

            def log_message(self, format: str, *args: Any) -> None:  # noqa: A002
                pass

        self.http = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.url = f"http://127.0.0.1:{self.http.server_address[1]}/model.zip"
        threading.Thread(target=self.http.serve_forever, daemon=True).start()

    def serve(self, ask: BaseHTTPRequestHandler) -> None:
        if self.code != 200:
            ask.send_error(self.code)
            return
        wanted = ask.headers.get("Range", "")
        self.ranges.append(wanted)
        begin = 0
        found = re.fullmatch(r"bytes=(\d+)-", wanted)
        if found and ask.headers.get("If-Range") == self.tag:
            begin = int(found[1])
            if begin >= len(self.data):
                ask.send_error(416)
                return
        ask.send_response(206 if begin else 200)
        ask.send_header("ETag", self.tag)
        if self.says_length:
            ask.send_header("Content-Length", str(len(self.data) - begin))
        ask.end_headers()
        end = len(self.data) if self.breaks_at is None else max(begin, self.breaks_at)
        ask.wfile.write(self.data[begin:end])


@pytest.fixture
def server() -> Iterator[Server]:
    made = Server()
    yield made
    made.http.shutdown()
    made.http.server_close()


@pytest.fixture(autouse=True)
def untried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Made-up models can't be loaded; one test of its own loads one that is corrupt."""
    monkeypatch.setattr("coach.cli.word_models._tried", lambda place, known: "")


@pytest.fixture
def folder(home: Path) -> Path:
    return home / "data" / "models"


def left(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir()) if folder.exists() else []


def silent(have: int, total: int | None) -> None:
    pass


def test_a_model_is_fetched_checked_and_unpacked(
    coach: Coach, server: Server, folder: Path
) -> None:
    ran = coach("words", "model", "fetch", "de", "--url", server.url, "--sha256", SHA256)
    assert ran.code == ExitCode.OK, ran.err
    assert (folder / NAME / "am" / "final.mdl").read_bytes() == FILLER
    assert left(folder) == [NAME]
    assert f"of {len(MODEL) / 1e6:.1f} MB" in ran.err
    assert NAME in coach("words", "model", "list").out


@pytest.mark.parametrize("url", ["done", "file:///etc/hostname", ""])
def test_an_address_is_one_of_the_web(coach: Coach, url: str) -> None:
    ran = coach("words", "model", "fetch", "de", "--url", url, "--sha256", SHA256)
    assert ran.code == 2
    assert f"{url!r} is no address" in ran.err


def test_what_broke_off_goes_on_where_it_stopped(
    coach: Coach, server: Server, folder: Path
) -> None:
    line = ("words", "model", "fetch", "de", "--url", server.url, "--sha256", SHA256)
    server.breaks_at = 400_000
    ran = coach(*line)
    assert ran.code == ExitCode.FAILED
    assert "broke off after 0.4 MB" in ran.err
    assert "goes on from there" in ran.err
    assert NAME not in left(folder)
    server.breaks_at = None
    assert coach(*line).code == ExitCode.OK
    assert server.ranges == ["", "bytes=400000-"]
    assert left(folder) == [NAME]


def test_a_file_that_changed_meanwhile_is_fetched_from_its_beginning(
    server: Server, tmp_path: Path
) -> None:
    server.breaks_at = 300_000
    with pytest.raises(FetchError, match="broke off"):
        fetch(server.url, tmp_path / "x.zip", silent)
    server.breaks_at, server.tag, server.data = None, '"two"', MODEL[::-1]
    digest = fetch(server.url, tmp_path / "x.zip", silent)
    assert digest == hashlib.sha256(MODEL[::-1]).hexdigest()
    assert (tmp_path / "x.zip").read_bytes() == MODEL[::-1]


def test_a_part_that_is_longer_than_the_file_is_begun_anew(server: Server, tmp_path: Path) -> None:
    (tmp_path / "x.zip.part").write_bytes(MODEL + b"more")
    (tmp_path / "x.zip.etag").write_text(server.tag)
    assert fetch(server.url, tmp_path / "x.zip", silent, SHA256) == SHA256


def test_a_server_that_tells_no_length_will_do(server: Server, tmp_path: Path) -> None:
    server.says_length = False
    assert fetch(server.url, tmp_path / "x.zip", silent, SHA256) == SHA256


def test_another_checksum_leaves_nothing(coach: Coach, server: Server, folder: Path) -> None:
    ran = coach("words", "model", "fetch", "de", "--url", server.url, "--sha256", "0" * 64)
    assert ran.code == ExitCode.FAILED
    assert "not the file that was expected" in ran.err
    assert left(folder) == []


def test_without_a_checksum_it_asks_before_and_tells_it_after(
    coach: Coach, server: Server, folder: Path
) -> None:
    ran = coach("words", "model", "fetch", "de", "--url", server.url)
    assert ran.code == ExitCode.USAGE
    assert "--unchecked" in ran.err
    assert server.ranges == []
    ran = coach("words", "model", "fetch", "de", "--url", server.url, "--unchecked")
    assert ran.code == ExitCode.OK
    assert SHA256 in ran.err


def test_a_disk_that_is_too_small_is_told_before_anything_is_written(
    coach: Coach, server: Server, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr("shutil.disk_usage", lambda _: usage(1, 1, 1000))
    ran = coach("words", "model", "fetch", "de", "--url", server.url, "--sha256", SHA256)
    assert ran.code == ExitCode.FAILED
    assert "the disk is full" in ran.err
    assert left(folder) == []


def test_a_disk_that_fills_up_meanwhile_leaves_nothing(server: Server, tmp_path: Path) -> None:
    def fills(have: int, total: int | None) -> None:
        if have > 0:
            raise OSError(errno.ENOSPC, "No space left on device")

    with pytest.raises(FetchError, match="the disk is full"):
        fetch(server.url, tmp_path / "x.zip", fills)
    assert left(tmp_path) == []


def test_a_disk_that_fills_up_while_unpacking_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive = tmp_path / "x.zip"
    archive.write_bytes(MODEL)

    def fills(self: zipfile.ZipFile, path: Path) -> None:
        path.mkdir()
        (path / "half").write_text("half")
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(zipfile.ZipFile, "extractall", fills)
    with pytest.raises(ModelError, match="No space left"):
        vosk_models.unpack(archive, tmp_path / "models", NAME)
    assert left(tmp_path / "models") == []


def test_offline_is_told_with_what_helps(coach: Coach, server: Server, folder: Path) -> None:
    server.http.shutdown()
    server.http.server_close()
    ran = coach("words", "model", "fetch", "de", "--url", server.url, "--sha256", SHA256)
    assert ran.code == ExitCode.FAILED
    assert "can't be reached" in ran.err
    assert "Are you online?" in ran.err
    assert "Traceback" not in ran.err
    assert left(folder) == []


def test_a_file_that_is_gone_from_the_server_is_told(coach: Coach, server: Server) -> None:
    server.code = 404
    ran = coach("words", "model", "fetch", "de", "--url", server.url, "--sha256", SHA256)
    assert ran.code == ExitCode.FAILED
    assert "the server says 404" in ran.err


@pytest.mark.parametrize(
    ("files", "why"),
    [
        ({"../evil": b"x", f"{NAME}/conf/a": b"x"}, "leads out of its folder"),
        ({"/evil": b"x", f"{NAME}/conf/a": b"x"}, "leads out of its folder"),
        ({"readme": b"x"}, "no vosk model is in it"),
    ],
)
def test_a_zip_that_is_none_of_a_model_is_refused(
    files: dict[str, bytes], why: str, tmp_path: Path
) -> None:
    archive = tmp_path / "x.zip"
    archive.write_bytes(zipped(files))
    with pytest.raises(ModelError, match=why):
        vosk_models.unpack(archive, tmp_path / "models", NAME)
    assert left(tmp_path / "models") == []
    assert sorted(left(tmp_path)) in (["home", "models", "x.zip"], ["models", "x.zip"])


def test_a_link_in_a_zip_is_refused(tmp_path: Path) -> None:
    archive = tmp_path / "x.zip"
    with zipfile.ZipFile(archive, "w") as file:
        link = zipfile.ZipInfo(f"{NAME}/conf/link")
        link.external_attr = 0o120777 << 16
        file.writestr(link, "/etc/passwd")
    with pytest.raises(ModelError, match="leads out of its folder"):
        vosk_models.unpack(archive, tmp_path / "models", NAME)


def test_half_a_zip_is_refused(tmp_path: Path) -> None:
    archive = tmp_path / "x.zip"
    archive.write_bytes(MODEL[: len(MODEL) // 2])
    with pytest.raises(ModelError, match="not a whole zip file"):
        vosk_models.unpack(archive, tmp_path / "models", NAME)
    assert left(tmp_path / "models") == []


def test_a_folder_is_added_and_used(coach: Coach, home: Path, tmp_path: Path, folder: Path) -> None:
    mine = tmp_path / "my-model"
    (mine / "conf").mkdir(parents=True)
    assert coach("words", "model", "add", str(mine)).code == ExitCode.OK
    assert left(folder) == ["my-model"]
    ran = coach("words", "model", "use", "my-model")
    assert ran.code == ExitCode.OK
    assert FIGURES["vosk"] in ran.out
    settings = load_settings(home / "config" / "config.toml")
    assert (settings.recogniser, settings.model) == ("vosk", "my-model")
    found = json.loads(coach("words", "model", "list", "--json").out)
    assert (found["used"], found["models"]) == ("vosk", ["my-model"])
    assert coach("words", "model", "use", "whisper").code == ExitCode.OK
    assert load_settings(home / "config" / "config.toml").recogniser == "whisper"


def test_what_is_no_model_is_not_added(coach: Coach, tmp_path: Path, folder: Path) -> None:
    ran = coach("words", "model", "add", str(tmp_path))
    assert ran.code == ExitCode.FAILED
    assert "no vosk model there" in ran.err
    assert left(folder) == []


def test_a_model_that_is_there_is_not_overwritten(
    coach: Coach, tmp_path: Path, folder: Path
) -> None:
    (tmp_path / "m" / "conf").mkdir(parents=True)
    assert coach("words", "model", "add", str(tmp_path / "m")).code == ExitCode.OK
    (folder / "m" / "mine").write_text("x")
    assert "is there already" in coach("words", "model", "add", str(tmp_path / "m")).err
    assert (folder / "m" / "mine").exists()


def test_names_that_are_none_are_told_the_nearest(coach: Coach) -> None:
    assert coach("words", "model", "use", "parrot").code == ExitCode.USAGE
    ran = coach("words", "model", "fetch", "xx", "--unchecked")
    assert ran.code == ExitCode.USAGE
    assert "coach words model add FOLDER" in ran.err


def test_every_shipped_model_is_of_the_official_host() -> None:
    """The host that the package vosk itself fetches from."""
    for one in load_models().values():
        assert one.url == f"https://alphacephei.com/vosk/models/{one.name}.zip"


def test_own_addresses_win(home: Path) -> None:
    own = home / "data" / "voices" / "models"
    own.mkdir(parents=True)
    (own / "vosk.toml").write_text('[models.xx]\nname = "mine"\nurl = "http://here/m.zip"\n')
    assert list(load_models((home / "data",))) == ["xx"]


def test_the_figures_are_those_of_the_document() -> None:
    text = (Path(__file__).parents[2] / "docs" / "hearing.md").read_text(encoding="utf-8")
    assert set(FIGURES) == set(NAMES)
    assert "97 of 108" in FIGURES["whisper"]
    assert "heard 104" in FIGURES["whisper"]
    assert "| | hall 20 dB | 97 (.83-.94) | 104 " in text
    assert "595 of 600" in FIGURES["whisper"]
    assert "| | hall 20 dB | 595 " in text
