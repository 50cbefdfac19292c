"""Open pictures that come with scikit-image, cut small, and what the libraries say of them.

Codes 0 to 255 are read as levels 0 to 1, without any transfer curve. Angles run anticlockwise from the picture's
bottom edge, along the lines. Near an edge a Gaussian's weights that fall outside are left out.
"""

import numpy as np
from scipy import ndimage
from skimage import data, io
from skimage.measure import label, regionprops_table
from skimage.transform import downscale_local_mean

# Where each comes from, as the documentation of skimage.data says (scikit-image 0.26.0), and the rows and columns kept.
SOURCES = {
    "brick": ("Bricks25 of CC0Textures, CC0", slice(100, 260), slice(60, 252)),
    "camera": ("photo by Lav Varshney, CC0", slice(60, 220), slice(160, 352)),
    "grass": ("Grass-01 of DeviantArt, CC0", slice(200, 360), slice(120, 312)),
    "gravel": ("Gravel04 of CC0Textures, CC0", slice(40, 200), slice(280, 472)),
    "microaneurysms": ("retina 07_dr of the HRF Image Database, CC0 by Andreas Maier", slice(2, 98), slice(2, 98)),
}

SIGMAS_PX = [1, 2, 4, 8, 16]
DERIVATIVES_PX = [1.5, 3]
DARKEST = [0.2, 0.35, 0.5]
EVEN_CELL, RAGGED_CELL = 32, 40


def smooth(plane, sigma):
    blur = lambda p: ndimage.gaussian_filter(p, sigma, mode="constant")
    return blur(plane) / blur(np.ones_like(plane))


def tensor(plane, sigma):
    """Sum of the tensors of Gaussian derivatives, three deviations from the edges left out."""
    rim = int(np.ceil(3 * sigma))
    down, along = (ndimage.gaussian_filter(plane, sigma, order=o)[rim:-rim, rim:-rim] for o in [(1, 0), (0, 1)])
    # Rows run down, angles up.
    xx, xy, yy = (along**2).sum(), -(along * down).sum(), (down**2).sum()
    axis = np.degrees(np.arctan2(2 * xy, xx - yy)) / 2 + 90
    coherence = np.hypot(xx - yy, 2 * xy) / (xx + yy)
    return {"rim_px": rim, "angle": float(axis % 180), "coherence": float(coherence)}


def dark_areas(codes, share):
    """Areas of 8 neighbours darker than a share of white; the sum of their squares holds every one of them."""
    pixels = regionprops_table(label(codes < share * 255, connectivity=2), properties=["area"])["area"].astype(int)
    largest = sorted(pixels.tolist(), reverse=True)[:5]
    return {"count": len(pixels), "largest_px": largest, "squares_px": int((pixels**2).sum())}


def ragged_means(plane, cell):
    """Block means, the last row and column of blocks smaller."""
    rows, cols = (np.arange(n) // cell for n in plane.shape)
    blocks = rows[:, None] * (cols[-1] + 1) + cols
    return ndimage.mean(plane, blocks, np.unique(blocks)).tolist()


def cut(name, folder):
    source, rows, cols = SOURCES[name]
    codes = getattr(data, name)()[rows, cols]
    io.imsave(folder / f"{name}.png", codes, check_contrast=False)
    plane = codes / 255.0
    kept = f"rows {rows.start} to {rows.stop}, columns {cols.start} to {cols.stop}"
    return {
        "source": f"skimage.data.{name}: {source}; {kept}",
        "tensor": {str(s): tensor(plane, s) for s in DERIVATIVES_PX},
        "dark_areas": {str(d): dark_areas(codes, d) for d in DARKEST},
        "variance": {str(s): float(smooth(plane, s).var()) for s in SIGMAS_PX},
        "block_means": {
            str(EVEN_CELL): downscale_local_mean(plane, (EVEN_CELL, EVEN_CELL)).ravel().tolist(),
            str(RAGGED_CELL): ragged_means(plane, RAGGED_CELL),
        },
    }
