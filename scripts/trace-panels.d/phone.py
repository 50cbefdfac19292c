"""From a picture of light to a phone's JPEG: lens, sensor, colour filters, tones."""

import io

import numpy as np
from PIL import Image
from scipy.ndimage import convolve, gaussian_filter, map_coordinates


def bent(light, k1):
    """Brown's radial distortion about the middle: a point at r (half the diagonal is 1) is seen at r (1 + k1 r²)."""
    height, width = light.shape[:2]
    half = np.hypot(width, height) / 2
    y, x = np.mgrid[0:height, 0:width] + 0.5
    x, y = (x - width / 2) / half, (y - height / 2) / half
    seen = np.hypot(x, y)
    true = seen.copy()
    for _ in range(20):
        true = seen / (1 + k1 * true**2)
    factor = np.where(seen > 0, true / np.maximum(seen, 1e-12), 1.0)
    at = [y * factor * half + height / 2 - 0.5, x * factor * half + width / 2 - 0.5]
    return np.stack([map_coordinates(light[..., c], at, order=3, mode="nearest") for c in range(3)], axis=2)


def bend_point(point, k1, width, height):
    half = np.hypot(width, height) / 2
    x, y = (point[0] - width / 2) / half, (point[1] - height / 2) / half
    factor = 1 + k1 * (x * x + y * y)
    return [x * factor * half + width / 2, y * factor * half + height / 2]


def through_filters(light, rng, noise):
    """Sensor noise under a Bayer pattern, the missing colours filled in between."""
    height, width = light.shape[:2]
    planes = np.zeros_like(light)
    seen = np.zeros_like(light)
    for c, places in enumerate(([(0, 0)], [(0, 1), (1, 0)], [(1, 1)])):
        for top, left in places:
            planes[top::2, left::2, c] = light[top::2, left::2, c]
            seen[top::2, left::2, c] = 1
    deviation = noise * np.sqrt(np.maximum(planes, 0) * 0.5 + 0.002)
    planes += seen * deviation * rng.standard_normal(planes.shape)
    kernel = np.array([[1, 2, 1], [2, 4, 2], [1, 2, 1]]) / 4.0
    return np.stack(
        [
            convolve(planes[..., c], kernel, mode="mirror") / convolve(seen[..., c], kernel, mode="mirror")
            for c in range(3)
        ],
        axis=2,
    )


def tone_mapped(light, strength, reach_px=60.0):
    """A local operator: the logarithm's slow part pulled together by a share, the detail kept."""
    luminance = np.maximum(light @ [0.2126, 0.7152, 0.0722], 1e-4)
    slow = gaussian_filter(np.log(luminance), reach_px)
    middle = np.log(0.3)
    return light * np.exp(strength * (middle - slow))[..., None]


def sharpened(codes, amount, sigma=1.2):
    soft = np.stack([gaussian_filter(codes[..., c], sigma) for c in range(3)], axis=2)
    return codes + amount * (codes - soft)


def photo(light, seed, brightest=0.72, blur_px=0.6, noise=0.012, k1=0.0, tone=0.0, sharpen=0.0, quality=90):
    """JPEG bytes of linear light, of which `brightest` is that of the 99th percentile after exposure."""
    rng = np.random.default_rng(seed)
    light = light / np.percentile(light[..., 1], 99.0) * brightest
    if k1:
        light = bent(light, k1)
    light = np.stack([gaussian_filter(light[..., c], blur_px) for c in range(3)], axis=2)
    light = np.clip(through_filters(light, rng, noise), 0, None)
    if tone:
        light = tone_mapped(light, tone)
    light = np.clip(light, 0, 1)
    codes = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    if sharpen:
        codes = sharpened(codes, sharpen)
    picture = Image.fromarray(np.round(np.clip(codes, 0, 1) * 255).astype(np.uint8))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=quality, subsampling="4:2:0")
    return out.getvalue()
