"""Known-item search on open photographs of textures, by the program and by textbook features: one table."""

import sys
import time
from importlib.metadata import version

import numpy as np

import features
import fetching
import program
import report
from pieces import pieces
from scores import places
from sources import TEXTURES

LIBRARIES = ["numpy", "scipy", "scikit-image", "kymatio", "pillow"]

try:
    pictures, packages = fetching.pictures()
except fetching.Missing as missing:
    print(f"nothing was compared, for a package with photographs is missing: {missing}")
    sys.exit(0)

cut = [piece for picture in pictures for piece in pieces(picture)]
names = [f"{texture.name}-{piece}" for texture in TEXTURES for piece in "ab"]
textures = np.repeat(np.arange(len(TEXTURES)), 2)

report.textures(TEXTURES, packages)
print("\nlibraries:", ", ".join(f"{name} {version(name)}" for name in LIBRARIES))
report.heading(len(cut))
begun = time.perf_counter()
distances, order, verdicts = program.compare(cut, names)
report.row("paneprint", distances, places(order, textures), textures, names, time.perf_counter() - begun)
for method in features.METHODS:
    begun = time.perf_counter()
    distances = features.distances(method, cut)
    report.row(method, distances, places(distances, textures), textures, names, time.perf_counter() - begun)
for of, said in verdicts.items():
    report.verdicts(of, said, textures, names, np.repeat([texture.even for texture in TEXTURES], 2))
