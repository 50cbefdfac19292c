"""Work out with SciPy what the program must say of the texture of a plane given by a formula.

Writes `fixtures/published/texture_statistics.csv`: the mean amplitudes of steered second derivatives at four scales and in four
directions (Freeman & Adelson 1991), and those of the amplitudes themselves on the coarser scales (Bruna & Mallat 2013), each as
the natural logarithm that the program keeps.
"""

import csv
from pathlib import Path

import numpy as np
import scipy
from scipy.ndimage import convolve1d

SIDE_PX = 240
LEVELS = 4
UNSEEN = 0.003
LEAST_SEEN = 0.01
OF_SECOND = 0.3
# 2 - 2 cos(sqrt 2): what a wave of the length that is answered to most gives.
ANSWER = 2.0 - 2.0 * np.cos(np.sqrt(2.0))


def plane():
    """Silver of waves in several directions, stronger towards the right, at 4 px/mm."""
    r, c = np.mgrid[0:SIDE_PX, 0:SIDE_PX] + 0.5
    fine = 0.12 * np.sin(1.3 * c + 0.4 * r) * (0.5 + 0.5 * np.sin(0.11 * r))
    middle = 0.1 * np.sin(0.35 * r - 0.2 * c)
    return 0.7 + (fine + middle) * c / SIDE_PX


def both_ways(values, kernel):
    """A separable filter, the plane going on mirrored."""
    kernel = np.array(kernel, dtype=float)
    return convolve1d(convolve1d(values, kernel, axis=0, mode="mirror"), kernel, axis=1, mode="mirror")


def coarser(values):
    """Half as many rows and columns, of the same blur in pixels."""
    thinned = both_ways(values, np.array([1, 4, 6, 4, 1]) / 16)[::2, ::2]
    return both_ways(thinned, np.array([1, 2, 1]) / 4)


def derivatives(values):
    """Second derivatives across 0, 45, 90 and 135 degrees from the rows."""
    second, first = np.array([1.0, -2.0, 1.0]), np.array([0.5, 0.0, -0.5])
    across = convolve1d(values, second, axis=1, mode="mirror")
    down = convolve1d(values, second, axis=0, mode="mirror")
    mixed = convolve1d(convolve1d(values, first, axis=0, mode="mirror"), first, axis=1, mode="mirror")
    half = (across + down) / 2
    return [v / ANSWER for v in (across, half + mixed, down, half - mixed)]


def places(values):
    """The mean of each quarter, row by row."""
    half = values.shape[0] // 2
    parts = [values[:half, :half], values[:half, half:], values[half:, :half], values[half:, half:]]
    return np.array([np.mean(part) for part in parts])


def rows():
    """Level, coarser level or none, direction, along or across, and the logarithms of the four places."""
    values = plane()
    for level in range(LEVELS):
        if level:
            values = coarser(values)
        for direction, of in enumerate(derivatives(values)):
            amplitude = np.maximum(np.abs(of) - LEAST_SEEN / 2**level, 0)
            first = np.log(places(amplitude) + UNSEEN)
            yield level, "", direction, "", first
            for above in range(level + 1, LEVELS):
                amplitude = coarser(amplitude)
                seconds = derivatives(amplitude)
                for way, turn in (("along", 0), ("across", 2)):
                    mean = places(np.abs(seconds[(direction + turn) % 4]))
                    yield level, above, direction, way, np.log(mean + OF_SECOND * UNSEEN) - first


def main():
    """Write the table."""
    target = Path(__file__).parent.parent / "fixtures" / "published" / "texture_statistics.csv"
    with target.open("w", newline="") as file:
        file.write(f"# scipy {scipy.__version__}, numpy {np.__version__}: scripts/texture-statistics.py\n")
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["level", "coarser", "direction", "way", "top_left", "top_right", "bottom_left", "bottom_right"])
        for *where, value in rows():
            writer.writerow([*where, *(f"{v:.6f}" for v in value)])


if __name__ == "__main__":
    main()
