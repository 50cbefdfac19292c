"""What scikit-image and SciPy say of the fixtures' photos and of open pictures: fixtures/library/figures.json.

Run by `scripts/python scripts/library-figures`. `tests/integration/library.rs` holds the program's functions to these
figures. Nothing here is taken from the program: only the definitions are the same.
"""

import json
from importlib.metadata import version
from pathlib import Path

import panels
import pictures

FIXTURES = Path(__file__).parents[2] / "fixtures"
LIBRARIES = ["numpy", "scipy", "scikit-image", "opencv-python-headless"]


def rounded(value):
    if isinstance(value, dict):
        return {key: rounded(v) for key, v in value.items()}
    if isinstance(value, list):
        return [rounded(v) for v in value]
    return float(f"{value:.6g}") if isinstance(value, float) else value


figures = {
    "written_by": "scripts/python scripts/library-figures",
    "libraries": {name: version(name) for name in LIBRARIES},
    "panels": {name: panels.read(FIXTURES / name) for name in panels.NAMES},
    "pictures": {name: pictures.cut(name, FIXTURES / "library") for name in pictures.SOURCES},
}
(FIXTURES / "library" / "figures.json").write_text(json.dumps(rounded(figures), indent=1) + "\n")
