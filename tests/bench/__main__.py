"""Every benchmark, one after the other, each in a process of its own: `python -m tests.bench`.

Names run only those: `python -m tests.bench startup sound`. Run them on an idle machine.
"""

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent


def names() -> list[str]:
    """The benchmarks: modules of this folder, and packages of it that can be run."""
    modules = [path.stem for path in HERE.glob("*.py") if path.stem[:2] != "__"]
    packages = [path.parent.name for path in HERE.glob("*/__main__.py")]
    return sorted(modules + packages)


def main() -> int:
    """Run those that were named, or all; 1 if one of them failed."""
    wanted = sys.argv[1:] or names()
    unknown = [name for name in wanted if name not in names()]
    if unknown:
        print(f"no benchmark is called {unknown[0]!r}; there are: {', '.join(names())}")
        return 2
    failed = False
    for name in wanted:
        print(f"\n== {name}", flush=True)
        ran = subprocess.run([sys.executable, "-m", f"tests.bench.{name}"], cwd=HERE.parents[1])
        failed |= ran.returncode != 0
    return int(failed)


if __name__ == "__main__":
    raise SystemExit(main())
