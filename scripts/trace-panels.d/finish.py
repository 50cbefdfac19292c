"""Finishes of known truth, as silver levels over a panel, and the figures the program must find on what is seen of them."""

import numpy as np
from scipy.ndimage import gaussian_filter

PX_PER_MM = 10
SHARP_MM = 0.25


def noise(rng, shape, scale_mm, stretch=1.0, angle=0.0):
    """Smooth noise of deviation 1, `stretch` times as long along `angle` (degrees, anticlockwise from the bottom edge)."""
    rows, cols = (2 * side for side in shape)
    fy, fx = np.meshgrid(np.fft.fftfreq(rows), np.fft.rfftfreq(cols), indexing="ij")
    along = fx * np.cos(np.radians(angle)) - fy * np.sin(np.radians(angle))
    across = fx * np.sin(np.radians(angle)) + fy * np.cos(np.radians(angle))
    sigma = scale_mm * PX_PER_MM
    pass_band = np.exp(-2.0 * np.pi**2 * sigma**2 * ((stretch * along) ** 2 + across**2))
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal((rows, cols))) * pass_band, (rows, cols))
    field = field[: shape[0], : shape[1]]
    return (field - field.mean()) / field.std()


def discs(rng, shape, per_cm2, median_mm, spread, ragged=0.0):
    """Share of silver lost in round places of lognormal diameters, their rims ragged by a share of the radius."""
    lost = np.zeros(shape)
    area_cm2 = shape[0] * shape[1] / (10.0 * PX_PER_MM) ** 2
    for _ in range(rng.poisson(per_cm2 * area_cm2)):
        radius = 0.5 * PX_PER_MM * median_mm * np.exp(spread * rng.standard_normal())
        y, x = rng.uniform(0, shape[0]), rng.uniform(0, shape[1])
        reach = int(1.6 * radius + 3)
        top, left = max(int(y) - reach, 0), max(int(x) - reach, 0)
        yy, xx = np.mgrid[top : min(int(y) + reach, shape[0]), left : min(int(x) + reach, shape[1])] + 0.5
        turn = np.arctan2(yy - y, xx - x)
        phase = rng.uniform(0, 2 * np.pi, 3)
        rim = radius * (1 + ragged * sum(np.sin(k * turn + phase[k - 2]) / k for k in (2, 3, 4)))
        here = np.clip(0.5 + (rim - np.hypot(yy - y, xx - x)) / 1.5, 0, 1)
        window = lost[top : top + yy.shape[0], left : left + yy.shape[1]]
        np.maximum(window, here, out=window)
    return lost


class Finish:
    """Silver level from 0 to 1, top row first, of a panel `size_mm` wide and high."""

    def __init__(self, size_mm, seed, veil=0.0, clouds=0.0, ridges=None, specks=None, blots=None, worn_mm=0.0):
        rng = np.random.default_rng(seed)
        shape = tuple(round(side * PX_PER_MM) for side in reversed(size_mm))
        loss = np.full(shape, veil)
        if clouds:
            loss += clouds * np.clip(0.5 + 0.5 * noise(rng, shape, 6.0), 0, 2)
        if ridges:
            depth, angle = ridges
            loss += depth * np.clip(0.5 + 0.6 * noise(rng, shape, 0.8, 9.0, angle), 0, 1.6)
        silver = np.clip(1.0 - loss, 0, 1)
        if specks:
            silver *= 1 - discs(rng, shape, *specks, 0.45)
        if blots:
            silver *= 1 - discs(rng, shape, *blots, 0.3, ragged=0.35)
        if worn_mm:
            y, x = np.mgrid[0 : shape[0], 0 : shape[1]] + 0.5
            inside = np.minimum(np.minimum(x, shape[1] - x), np.minimum(y, shape[0] - y)) / PX_PER_MM
            reach = worn_mm * np.exp(0.35 * noise(rng, shape, 5.0))
            silver *= 1 - 0.45 * np.exp(-((inside / reach) ** 1.5))
        self.silver = silver
        self.streak_angle = ridges[1] if ridges else None

    def truth(self, hidden_mm):
        """The figures of what is seen: `hidden_mm` left, top, right and bottom lie behind the edges of the glass."""
        left, top, right, bottom = (round(side * PX_PER_MM) for side in hidden_mm)
        rows, cols = self.silver.shape
        seen = gaussian_filter(self.silver, SHARP_MM * PX_PER_MM, mode="nearest")[top : rows - bottom, left : cols - right]
        return {
            "coverage": float(seen.mean()),
            "clear_fraction": float((seen >= 0.85).mean()),
            "veil_fraction": float(((seen >= 0.5) & (seen < 0.85)).mean()),
            "dark_fraction": float((seen < 0.5).mean()),
            "aggressiveness": float(100 * np.sqrt(((1 - seen) ** 2).mean())),
            "streak_angle": self.streak_angle,
        }
