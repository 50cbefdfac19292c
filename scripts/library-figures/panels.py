"""A fixture's photo, from the file to its figures, on library calls alone.

Photo positions have pixel centres at +0.5, arrays at whole indices. Angles run anticlockwise from the panel's bottom
edge. Lengths are in mm; the panel is resampled by cubic interpolation to one grid for all photos.
"""

import json
import warnings

import cv2
import numpy as np
from scipy import ndimage, special
from scipy.optimize import OptimizeWarning, curve_fit
from scipy.stats import trim_mean
from skimage.draw import polygon2mask
from skimage.feature import structure_tensor
from skimage.measure import label, profile_line, regionprops_table
from skimage.transform import ProjectiveTransform, warp

# Full silver comes from mirror patches in these photos.
NAMES = ["exif-sideways", "png-16-bit", "seen-from-behind", "tiff-grey", "webp-lossless"]

PX_PER_MM = 8.0
BARE_RATIO = 0.063
# Share of the silver's light that the front of the glass throws back to it: 0.0426 (Fresnel, n = 1.52) of 0.90.
TO_AND_FRO = 0.0383
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
STANDARD_MM = 0.25
# For a photo that is blurrier than the standard, both sides are brought to this instead.
COARSER_MM = 0.4
SCALES_MM = [0.5, 1, 2, 4, 8, 16]
DARK, CLEAR = 0.5, 0.85
# Ten pixels of the coarsest photo.
LEAST_DIAMETER_MM = 1.2
DERIVATIVE_MM = 0.75
# How far a dark spot's own slope reaches.
SLOPE_MM = 0.75

# A side without a clean step has no covariance; its width is refused below.
warnings.simplefilter("ignore", OptimizeWarning)


def light(path):
    """Linear light, red, green and blue; turned upright as its EXIF asks."""
    codes = cv2.imread(str(path), cv2.IMREAD_COLOR | cv2.IMREAD_ANYDEPTH)[..., ::-1]
    v = codes / np.iinfo(codes.dtype).max
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def full_silver(photo, patches):
    """The trimmed means of two mirror patches and the slope between them, for every pixel and channel."""
    places, levels = [], []
    for patch in patches[:2]:
        corners = np.array(patch["corners"])
        centre = corners.mean(axis=0)
        inner = centre + 0.85 * (corners - centre)
        inside = polygon2mask(photo.shape[:2], inner[:, ::-1] - 0.5)
        places.append(centre)
        levels.append(trim_mean(photo[inside], 0.1, axis=0))
    place, level = np.mean(places, axis=0), np.mean(levels, axis=0)
    # The shortest of the slopes that fit: none across the line between the two.
    slope, *_ = np.linalg.lstsq(places - place, levels - level)
    rows, cols = photo.shape[:2]
    y, x = np.mgrid[:rows, :cols] + 0.5
    return level + (np.stack([x, y], axis=-1) - place) @ slope


def edge_blur_px(luminance, corners):
    """Deviation of the Gaussian whose integral fits the steps across the panel's sides, their median."""
    step = lambda x, low, high, at, width: low + (high - low) * special.ndtr((x - at) / width)
    x = np.arange(-8, 8.5, 1.0)
    widths = []
    for a, b in zip(corners, np.roll(corners, -1, axis=0)):
        along = (b - a) / np.linalg.norm(b - a)
        inwards = np.array([-along[1], along[0]])
        inwards *= np.sign(inwards @ (corners.mean(axis=0) - a))
        for t in np.linspace(0.06, 0.94, 24):
            middle = a + t * (b - a) - 0.5
            ends = [(middle + 8 * d * inwards)[::-1] for d in (-1, 1)]
            seen = profile_line(luminance, *ends, linewidth=9, order=3)[: len(x)]
            try:
                fit, _ = curve_fit(step, x, seen, p0=[seen[0], seen[-1], 0, 1])
            except RuntimeError:
                continue
            if 0.2 < fit[3] < 6 and np.var(step(x, *fit) - seen) < 0.01 * np.var(seen):
                widths.append(fit[3])
    return float(np.median(widths))


def rectified(ratio, corners, size, rim_mm):
    """The panel square-on without its rim, from its corners as it hangs."""
    width, height = size
    shape = tuple(int((mm - 2 * rim_mm) * PX_PER_MM) for mm in (height, width))
    # Grid indices to mm from the top left corner, its inside centred; then to photo indices.
    first = [(mm - (n - 1) / PX_PER_MM) / 2 for mm, n in zip((width, height), shape[::-1])]
    panel = np.array([[0, 0], [width, 0], [width, height], [0, height]])
    on_grid = (panel - first) * PX_PER_MM
    to_photo = ProjectiveTransform.from_estimate(on_grid, corners - 0.5)
    return warp(ratio, to_photo, output_shape=shape, order=3, mode="edge")


def smooth(plane, sigma_mm, weight=None):
    """Gaussian smoothing in which what lies outside has no weight."""
    weight = np.ones_like(plane) if weight is None else weight
    blur = lambda p: ndimage.gaussian_filter(p, sigma_mm * PX_PER_MM, mode="constant")
    return blur(plane * weight) / np.maximum(blur(weight), 1e-9)


def further(sigma_mm, from_mm):
    return (sigma_mm**2 - from_mm**2) ** 0.5


def streaks(silver):
    """Axis along the ridges, degrees, and coherence, away from dark spots and the panel's edge."""
    step = int(PX_PER_MM)
    coarse = ndimage.median_filter(silver[::step, ::step], size=10)
    around = np.kron(coarse, np.ones((step, step)))[: silver.shape[0], : silver.shape[1]]
    from_dark = ndimage.distance_transform_edt(silver >= 0.5 * around) / PX_PER_MM
    free = from_dark > SLOPE_MM
    quiet = np.where(free, silver, smooth(silver, 1, free.astype(float)))
    inside = from_dark > SLOPE_MM + 2 * DERIVATIVE_MM
    rim = int(2 * DERIVATIVE_MM * PX_PER_MM)
    inside[:rim] = inside[-rim:] = inside[:, :rim] = inside[:, -rim:] = False
    tensor = structure_tensor(smooth(quiet, DERIVATIVE_MM), sigma=0.1, order="xy")
    xx, xy, yy = (float(t[inside].mean()) for t in tensor)
    # Rows run down, angles up.
    axis = np.degrees(np.arctan2(-2 * xy, xx - yy)) / 2 + 90
    return float(axis % 180), float(np.hypot(xx - yy, 2 * xy) / (xx + yy))


def read(folder):
    photo_file = next(p for p in folder.glob("photo.*") if p.suffix != ".json")
    place = json.loads(photo_file.with_name(photo_file.name + ".place.json").read_text())
    corners = np.array(place["corners"])
    size = [float(mm) for mm in place["size"].removesuffix("mm").split("x")]
    photo = light(photo_file)
    ratio = (photo / full_silver(photo, place["patches"])) @ LUMINANCE

    x, y = corners.T
    area = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    photo_px_per_mm = (area / (size[0] * size[1])) ** 0.5
    edge_px = edge_blur_px(photo @ LUMINANCE, corners)
    blur_mm = edge_px / photo_px_per_mm
    sharpness_mm = STANDARD_MM if blur_mm < 0.9 * STANDARD_MM else COARSER_MM
    rim_mm = (3 * edge_px + 1) / photo_px_per_mm

    shown = (rectified(ratio, corners, size, rim_mm) - BARE_RATIO) / (1 - BARE_RATIO)
    own = shown / (1 - TO_AND_FRO * (1 - shown))
    angle, coherence = streaks(own)
    silver = np.clip(smooth(own, further(sharpness_mm, blur_mm)), 0, 1)
    # What lies beside the rim left out stands for it.
    whole = np.pad(silver, round(rim_mm * PX_PER_MM), mode="symmetric")
    spots = regionprops_table(label(silver < DARK, connectivity=2), properties=["area", "equivalent_diameter_area"])
    variances = {str(mm): float(smooth(silver, further(mm, sharpness_mm)).var()) for mm in SCALES_MM}
    return {
        "sharpness_mm": sharpness_mm,
        "edge_px": edge_px,
        "coverage": float(whole.mean()),
        "dark_fraction": float((whole < DARK).mean()),
        "clear_fraction": float((whole >= CLEAR).mean()),
        "aggressiveness": float(100 * np.sqrt(((1 - whole) ** 2).mean())),
        "dark_areas": int((spots["equivalent_diameter_area"] / PX_PER_MM >= LEAST_DIAMETER_MM).sum()),
        "streak_angle": angle,
        "streak_strength": coherence,
        "variance": {str(sharpness_mm): float(silver.var()), **variances},
    }
