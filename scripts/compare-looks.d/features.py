"""Textbook texture features by the libraries that define them, and how far apart two pieces are by each.

Local binary patterns are Ojala, Pietikäinen & Mäenpää's (2002) uniform ones that a turn does not move: scikit-image
calls them "uniform", P + 2 bins. Co-occurrence is Haralick's, symmetric, of 32 equal steps; scikit-image rounds the
slanting offsets to whole pixels, so 3 px at 45° is 2 down and 2 across. Scattering is Bruna & Mallat's (2013), its
second order divided by the first, in logarithms.
"""

import hashlib
from importlib.metadata import version
from pathlib import Path

import numpy as np

# The 2-D part by its own name: kymatio's front door also loads a 3-D part that newer SciPy has no function for.
from kymatio.scattering2d.frontend.numpy_frontend import ScatteringNumPy2D
from skimage.feature import graycomatrix, local_binary_pattern

CACHE = Path("target/compare-looks/features")

RINGS = [(8, 1), (16, 3), (16, 6), (16, 12)]
OFFSETS_PX = [1, 3, 8]
ORIENTATIONS = np.radians([0, 45, 90, 135])
STEPS = 32
# Octaves and orientations of the wavelets, up to 2⁵ pixels, 6.4 mm. Six orientations take longer and tell no more.
OCTAVES, TURNS = 5, 4


def chi_square(a, b):
    """Half the sum of squared differences over the sums; bins that both lack add nothing."""
    both = a + b
    return float(0.5 * np.sum((a - b) ** 2 / np.where(both > 0, both, 1)))


def euclidean(a, b):
    return float(np.linalg.norm(a - b))


def binary_patterns(pieces):
    """Histograms of the patterns on each ring, side by side."""
    return [np.concatenate([ring(np.round(255 * piece).astype(np.uint8), *r) for r in RINGS]) for piece in pieces]


def ring(codes, points, radius):
    found = local_binary_pattern(codes, points, radius, method="uniform").astype(int)
    return np.bincount(found.ravel(), minlength=points + 2) / found.size


def co_occurrence(pieces):
    """How often each two steps of silver lie so far apart in each orientation, as shares."""
    steps = [np.minimum(STEPS * piece, STEPS - 1).astype(np.uint8) for piece in pieces]
    return [graycomatrix(s, OFFSETS_PX, ORIENTATIONS, levels=STEPS, symmetric=True, normed=True) for s in steps]


def scattering(pieces):
    """Logarithms of the wavelet magnitudes' means, and of the means of their own wavelet magnitudes over those."""
    transform = ScatteringNumPy2D(J=OCTAVES, shape=pieces[0].shape, L=TURNS, out_type="list")
    return [logarithms(transform(piece)) for piece in pieces]


def logarithms(paths):
    # A path is told by its wavelets' numbers: none is the mean, one the first order, two the second.
    means = {path["n"]: path["coef"].mean() for path in paths}
    first = [np.log(mean) for n, mean in means.items() if len(n) == 1]
    second = [np.log(mean / means[n[:1]]) for n, mean in means.items() if len(n) == 2]
    return np.array(first + second)


METHODS = {
    "local binary patterns": (binary_patterns, chi_square),
    "co-occurrence": (co_occurrence, chi_square),
    "scattering": (scattering, euclidean),
}


def distances(method, pieces):
    """How far each piece is from each other by a method. Features once found are kept until anything changes."""
    find, apart = METHODS[method]
    file = CACHE / f"{find.__name__}-{digest(pieces)}.npy"
    if not file.exists():
        CACHE.mkdir(parents=True, exist_ok=True)
        np.save(file, find(pieces))
    found = np.load(file)
    return np.array([[apart(a, b) for b in found] for a in found])


def digest(pieces):
    """What the features follow from: the pieces, this file and the libraries."""
    libraries = " ".join(version(name) for name in ["numpy", "scikit-image", "kymatio"])
    said = hashlib.sha256(Path(__file__).read_bytes() + libraries.encode())
    for piece in pieces:
        said.update(piece.tobytes())
    return said.hexdigest()[:16]
