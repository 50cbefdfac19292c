"""What the readings with OpenCV and with scikit-image share: all that touches no pixels.

Where the panel lies and how it is lit, the windows, the block bootstrap of everything at once, the JSON.
"""

import json
import sqlite3
import sys

import numpy as np

BARE_RATIO = 0.063
LUMINANCE = np.array([0.2126, 0.7152, 0.0722], np.float32)
STANDARD_MM = 0.25
SCALES_MM = [0.5, 1, 2, 4, 8, 16]
CLEAR, DARK, CONTRAST = 0.85, 0.5, 0.5
SPECKLE_MM = (0.4, 6.0)
DERIVATIVE_MM = 0.75
QUIET_MM, ENVELOPE_MM, CLOUD_MM = 0.5, 2.0, 1.0
ROSE_BINS, SILVER_BINS, SIZE_BINS = 36, 64, 200
RESAMPLES = 1000

CODES = np.arange(256) / 255
LINEAR = np.where(CODES <= 0.04045, CODES / 12.92, ((CODES + 0.055) / 1.055) ** 2.4).astype(np.float32)


class Scene:
    """Panel and patch in the photo, from its placement file; the rig's light, from the archive."""

    def __init__(self, photo, archive, rig):
        place = json.load(open(photo + ".place.json"))
        self.size = [float(mm) for mm in place["size"].removesuffix("mm").split("x")]
        self.corners = np.array(place["corners"])
        patch = np.array(place["patches"][0]["corners"])
        middle = patch.mean(axis=0)
        inner = middle + 0.85 * (patch - middle)
        self.patch = (*inner.min(axis=0).astype(int), *inner.max(axis=0).astype(int))
        self.patch_middle = middle
        found = sqlite3.connect(archive).execute("SELECT rig FROM rig WHERE name = ?", [rig])
        self.rig = json.loads(found.fetchone()[0])
        x, y = self.corners.T
        area = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
        self.px_per_mm = min((area / (self.size[0] * self.size[1])) ** 0.5, 10.0)

    def crop(self, shape):
        """Rows and columns of the photo that hold the panel, with room to see its edges."""
        low = np.maximum(self.corners.min(axis=0).astype(int) - 12, 0)
        high = np.minimum(self.corners.max(axis=0).astype(int) + 13, [shape[1], shape[0]])
        return slice(low[1], high[1]), slice(low[0], high[0])

    def grid(self, edge_px):
        """Rows and columns of the panel without its blurred rim, and its corners in their indices."""
        rim = 3 * edge_px + 1
        whole = np.array(self.size) * self.px_per_mm
        cols, rows = (whole - 2 * rim).astype(int)
        first = (whole - [cols, rows]) / 2
        panel = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * whole
        return (rows, cols), panel - first - 0.5

    def across_edges(self):
        """Positions (x, y) across the panel's sides: stretches, lines along each, distances outside to inside."""
        a, b = self.corners, np.roll(self.corners, -1, axis=0)
        along = (b - a) / np.linalg.norm(b - a, axis=1, keepdims=True)
        inwards = np.stack([-along[:, 1], along[:, 0]], axis=1)
        t = np.linspace(0.06, 0.94, 24)[:, None]
        middles = (a[:, None] + t * (b - a)[:, None]).reshape(-1, 1, 1, 2)
        along, inwards = (np.repeat(v, 24, axis=0)[:, None, None] for v in (along, inwards))
        lines, self.distances = np.arange(-12, 13)[:, None, None], np.arange(-8, 8.01, 0.25)
        return middles + lines * along + self.distances[:, None] * inwards

    def edge_px(self, light):
        """Deviation of the blur from light across the sides: by what lies between 16 % and 84 % of each step."""
        profile = light.mean(axis=1)
        low, high = profile[:, :12].mean(axis=1), profile[:, -12:].mean(axis=1)
        clean = high - low > 0.4 * high
        rise = (profile[clean] - low[clean, None]) / (high - low)[clean, None]
        rise = np.maximum.accumulate(rise, axis=1)
        ends = np.array([np.interp([0.16, 0.84], r, self.distances) for r in rise])
        # A Gaussian's 16 % and 84 % points lie 1.989 deviations apart.
        return float(np.median(ends[:, 1] - ends[:, 0]) / 1.989)

    def gain(self, patch_light, shape, to_photo, nodes=33):
        """One over full silver on a coarse grid over the panel, of the photo's shape, per channel."""
        u, v = np.meshgrid(np.linspace(0, 1, nodes), np.linspace(0, 1, nodes))
        on_photo = to_photo(u, v) / [shape[1], shape[0]]
        then = self._full_silver(self.patch_middle / [shape[1], shape[0]])
        scale = patch_light * self.rig["patches"][0]["silver_over_patch"] / then
        return (1 / (self._full_silver(on_photo) * scale)).astype(np.float32)

    def _full_silver(self, place):
        x, y = np.moveaxis(place - 0.5, -1, 0)
        terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y, x**3, x * x * y, x * y * y, y**3], axis=-1)
        return np.exp(terms @ np.array(self.rig["light"]["coefficients"]).T)


def trimmed_mean(light):
    """Mean without the lowest and highest tenth, per channel."""
    light = np.sort(light.reshape(-1, 3), axis=0)
    cut = len(light) // 10
    return light[cut:-cut].mean(axis=0)


class Windows:
    """The panel cut into windows at least two cloud scales wide, 3 to 24 along a side."""

    def __init__(self, shape, cloud_mm, px_per_mm):
        side = max(2 * cloud_mm, 8) * px_per_mm
        self.shape = tuple(int(np.clip(n // side, 3, 24)) for n in shape)
        self.pixels = shape
        self.count = self.shape[0] * self.shape[1]

    def cuts(self, shape):
        """Where a plane of this shape is cut, down and across."""
        return [-(-np.arange(n + 1) * px // n) for n, px in zip(self.shape, shape)]

    def over(self, shape):
        """The windows of a plane of this shape, row by row."""
        down, across = self.cuts(shape)
        return [np.s_[a:b, c:d] for a, b in zip(down, down[1:]) for c, d in zip(across, across[1:])]

    def at(self, row, col):
        r, c = ((np.asarray(at) * n / px).astype(int) for at, n, px in zip((row, col), self.shape, self.pixels))
        return np.minimum(r, self.shape[0] - 1) * self.shape[1] + np.minimum(c, self.shape[1] - 1)


def speckle_sums(centre, diameter, box, windows, px_per_mm, floor_mm, nearest_of):
    """Per window: speckles, nearest neighbours' distances, sizes. A speckle cut by top or left is not counted."""
    row, col = centre
    top, left, bottom, right = box
    keep = (diameter >= floor_mm) & (diameter <= SPECKLE_MM[1]) & (top > 0) & (left > 0)
    row, col, diameter = row[keep], col[keep], diameter[keep]
    places = np.stack([row, col], axis=1) / px_per_mm
    nearest = nearest_of(places)
    window = windows.at(row, col)
    height, width = windows.pixels
    chance = (1 - (bottom - top)[keep] / height) * (1 - (right - left)[keep] / width)
    uncut = (bottom[keep] < height) & (right[keep] < width)
    edges = np.geomspace(SPECKLE_MM[0], SPECKLE_MM[1], SIZE_BINS + 1)
    bins = np.clip(np.searchsorted(edges, diameter) - 1, 0, SIZE_BINS - 1)
    sizes = np.bincount(window * SIZE_BINS + bins, uncut / chance, windows.count * SIZE_BINS)
    return {
        "speckles": np.bincount(window, minlength=windows.count),
        "nearest": np.bincount(window, nearest, windows.count),
        "sizes": sizes.reshape(windows.count, SIZE_BINS),
        "size_edges": edges,
    }


TO_XYZ = np.array(
    [[0.4123908, 0.3575843, 0.1804808], [0.2126390, 0.7151687, 0.0721923], [0.0193308, 0.1191948, 0.9505322]]
)


def lab_ab(ratios):
    """CIELAB a* and b* of linear Rec. 709 light relative to white, D65."""
    t = ratios @ (TO_XYZ / TO_XYZ.sum(axis=1, keepdims=True)).T
    f = np.where(t > 216 / 24389, np.cbrt(t), (24389 / 27 * t + 16) / 116)
    return 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])


def spacing(profile, step_mm):
    """Distance of the first peak of an autocorrelation after its first trough; nan where there is none."""
    d = np.diff(profile, axis=1)
    trough = np.argmax((d[:, :-1] < 0) & (d[:, 1:] >= 0), axis=1)
    later = np.arange(d.shape[1] - 1) > trough[:, None]
    peak = later & (d[:, :-1] > 0) & (d[:, 1:] <= 0)
    return np.where(peak.any(axis=1), (np.argmax(peak, axis=1) + 1) * step_mm, np.nan)


def measures(w, size, area_mm2, lag_mm):
    """Every measure and its 95 % interval. `w` holds sums over windows; the first row of the weights is all windows."""
    n = len(w["pixels"])
    draws = np.random.default_rng(1).multinomial(n, np.full(n, 1 / n), RESAMPLES)
    weights = np.vstack([np.ones(n), draws])
    sums = {key: weights @ w[key] for key in w if key != "size_edges"}
    area = sums["pixels"] / w["pixels"].sum() * area_mm2
    share = lambda top, bottom="pixels": sums[top] / sums[bottom]
    with np.errstate(all="ignore"):
        tone_a, tone_b = lab_ab((sums["tone"] / sums["tone_pixels"][:, None] - BARE_RATIO) / (1 - BARE_RATIO))
        sizes = np.cumsum(sums["sizes"], axis=1)
        below = lambda q: w["size_edges"][1 + np.argmax(sizes >= q * sizes[:, -1:], axis=1)]
        count, perimeter = sums["speckles"], 2 * sum(size)
        by_chance = 0.5 * np.sqrt(area / count) + (0.0514 + 0.041 / np.sqrt(count)) * perimeter / count
        axis = np.degrees(np.arctan2(sums["sin"], sums["cos"])) / 2 + 90
        turned = (axis - axis[0] + 90) % 180 - 90
        resampled = {
            "coverage": share("silver"),
            "clear_fraction": share("clear"),
            "veil_fraction": 1 - share("clear") - share("dark"),
            "dark_fraction": share("dark"),
            "speckle_density": 100 * count / area,
            "speckle_diameter_median": below(0.5),
            "speckle_diameter_p90": below(0.9),
            "speckle_evenness": share("nearest", "speckles") / by_chance,
            "blot_fraction": share("blot"),
            "streak_angle": axis[0] % 180 + turned,
            "streak_strength": np.hypot(sums["cos"], sums["sin"]) / sums["trace"],
            "streak_spacing": spacing(sums["across"], lag_mm),
            "aggressiveness": 100 * np.sqrt(share("squared")),
            "tone_a": tone_a,
            "tone_b": tone_b,
            "edge_loss": share("middle", "middle_pixels")
            - (sums["silver"] - sums["middle"]) / (sums["pixels"] - sums["middle_pixels"]),
        }
        within = lambda v: np.percentile(v[np.isfinite(v)], [2.5, 97.5])
        ends = {key: within(values[1:]) for key, values in resampled.items()}
    return {key: {"value": v[0], "low": ends[key][0], "high": ends[key][1]} for key, v in resampled.items()}


def arguments():
    photo, archive, rig = sys.argv[1:]
    return photo, Scene(photo, archive, rig)


def say(reading):
    print(json.dumps(reading, default=lambda v: v.tolist()))
