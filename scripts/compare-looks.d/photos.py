"""A piece as a photo of a panel: on a dark ground, a patch of full silver beside it, and the flags that say so."""

import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter

from pieces import SIDE_MM, SIDE_PX

# Bare glass over dark ground against full silver, in linear light.
BARE = 0.063
# Full silver and the ground in the photo, shares of white: nothing clips.
FULL, GROUND = 0.8, 0.02
MARGIN_PX = 60
PATCH_PX = 100
# The lens: the deviation of its blur, pixels. An edge without any shows no blur that could be measured.
LENS_PX = 0.7

LEFT = TOP = MARGIN_PX
RIGHT = LEFT + SIDE_PX
BOTTOM = TOP + SIDE_PX
PATCH_LEFT = RIGHT + MARGIN_PX
PLACED = [
    f"--size={SIDE_MM}x{SIDE_MM}mm",
    f"--corners={LEFT},{TOP} {RIGHT},{TOP} {RIGHT},{BOTTOM} {LEFT},{BOTTOM}",
    f"--patch=mirror:{PATCH_LEFT},{TOP},{PATCH_PX},{PATCH_PX}",
]


def write(piece, file):
    """Writes the photo in sRGB, 8 bits."""
    light = np.full((BOTTOM + MARGIN_PX, PATCH_LEFT + PATCH_PX + MARGIN_PX), GROUND)
    light[TOP:BOTTOM, LEFT:RIGHT] = FULL * (BARE + (1 - BARE) * piece)
    light[TOP : TOP + PATCH_PX, PATCH_LEFT : PATCH_LEFT + PATCH_PX] = FULL
    light = gaussian_filter(light, LENS_PX)
    # IEC 61966-2-1, the curve's inverse.
    curve = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    Image.fromarray(np.round(255 * curve).astype(np.uint8)).convert("RGB").save(file)
