"""Two disjoint square pieces of each photograph, as silver levels that all have one histogram.

With one histogram every mean and every share of the area agrees, and only the look is left to tell them apart.
"""

import numpy as np
from PIL import Image
from scipy import fft, ndimage
from scipy.stats import beta

SIDE_MM = 150
PX_PER_MM = 5
SIDE_PX = SIDE_MM * PX_PER_MM
# Silver levels of mean 0.75, mostly clear with a dark tail: half the area is above 0.85, a fifth under 0.5.
LEVELS = beta(1.5, 0.5).ppf((np.arange(SIDE_PX**2) + 0.5) / SIDE_PX**2).astype(np.float32)
# Pictures for games repeat themselves: some quarters were copies of each other, at a correlation of 0.9 and more.
SHARED = 0.15
FINE_PX = 6


def pieces(picture):
    """The upper left and the lower right quarter of the photograph's middle square."""
    grey = picture.convert("RGB").convert("L")
    side = min(grey.size) // 2
    left, top = ((n - 2 * side) // 2 for n in grey.size)
    corners = [(left, top), (left + side, top + side)]
    quarters = [grey.crop((x, y, x + side, y + side)) for x, y in corners]
    if shared(*quarters) > SHARED:
        raise ValueError("the two pieces hold copies of the same places")
    return [silver(quarter) for quarter in quarters]


def shared(a, b):
    """The largest correlation of two pieces' fine detail over all shifts: 1 for copies, near 0 where none is shared."""
    a, b = (fine(np.asarray(quarter, np.float32)) for quarter in (a, b))
    shape = [2 * n for n in a.shape]
    spectrum = fft.rfft2(a, shape) * np.conj(fft.rfft2(b, shape))
    return float(fft.irfft2(spectrum, shape).max()) / a.size


def fine(grey):
    """What a blur takes away, brought to mean 0 and deviation 1."""
    detail = grey - ndimage.gaussian_filter(grey, FINE_PX)
    return (detail - detail.mean()) / detail.std()


def silver(grey):
    """Silver levels from 0 to 1 in the order of the greys."""
    sized = np.asarray(grey.convert("F").resize((SIDE_PX, SIDE_PX), Image.Resampling.BICUBIC))
    levels = np.empty(sized.size, np.float32)
    # Equal greys keep the order in which they lie.
    levels[np.argsort(sized, axis=None, kind="stable")] = LEVELS
    return levels.reshape(sized.shape)
