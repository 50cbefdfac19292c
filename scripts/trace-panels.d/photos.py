"""Which photos there are: their bench, finish and phone."""

from dataclasses import replace

import numpy as np

from finish import Finish
from scene import Bench

SIZE = (150.0, 150.0)
NEAR = Bench()
FAR = replace(NEAR, yaw=-10.0, board_mm=1700.0, board_side_mm=1300.0)

FINISHES = {
    "plain": {},
    "veil": {"veil": 0.22},
    "clouds": {"veil": 0.03, "clouds": 0.16},
    "specks": {"veil": 0.08, "specks": (2.2, 1.0)},
    "all": {
        "veil": 0.02,
        "clouds": 0.05,
        "ridges": (0.16, 60.0),
        "specks": (1.4, 1.0),
        "blots": (0.03, 7.0),
        "worn_mm": 4.0,
    },
    "ridged": {"veil": 0.02, "ridges": (0.2, 35.0), "specks": (1.6, 1.1), "blots": (0.05, 7.0)},
}


def finish(name, seed, size=SIZE):
    return Finish(size, seed, **FINISHES[name])


# The sample lies beside the panel, and nothing else does.
BESIDE = replace(
    FAR,
    size_mm=(120.0, 120.0),
    aim=(-62.0, 0.0),
    card=False,
    offcuts=0,
    bare=False,
    beside=(("all", 21), (100.0, 100.0), (-130.0, 6.0)),
    field_of_view=19.0,
)

# A name, the bench, the finish and its seed, and what the phone does.
KEPT = [
    ("near-plain", NEAR, ("plain", 1), {}),
    ("near-veil", NEAR, ("veil", 2), {}),
    ("near-clouds", NEAR, ("clouds", 3), {}),
    ("near-specks", NEAR, ("specks", 4), {}),
    ("near-all", NEAR, ("all", 5), {}),
    ("near-ridged", NEAR, ("ridged", 6), {}),
    ("near-all-mapped", NEAR, ("all", 5), {"tone": 0.12}),
    ("near-specks-mapped", NEAR, ("specks", 4), {"tone": 0.12, "sharpen": 0.4}),
    ("near-all-unequal", replace(NEAR, lamps=(1.3, 0.7)), ("all", 5), {}),
    ("near-all-lamp-turned", replace(NEAR, lamp_turned=45.0), ("all", 5), {}),
    ("near-specks-phone", replace(NEAR, before_board=((30.0, 60.0), (-110.0, -120.0))), ("specks", 4), {}),
    ("far-plain", FAR, ("plain", 1), {}),
    ("far-specks", FAR, ("specks", 7), {}),
    ("far-all", FAR, ("all", 8), {}),
    ("thin-ground", replace(FAR, yaw=-5.0, glass_mm=2.0, edges="ground"), ("clouds", 9), {}),
    ("thick-painted", replace(NEAR, yaw=20.0, glass_mm=10.0, edges="painted"), ("all", 10), {}),
    ("thick-ground", replace(FAR, yaw=20.0, glass_mm=6.0, edges="ground"), ("specks", 11), {}),
    ("sample", replace(FAR, size_mm=(100.0, 100.0)), ("all", 21), {}),
    ("pair", BESIDE, ("all", 20), {}),
]


def fingers(seed, shape=(300, 300)):
    """Where fingers were put: ridges of grease under five fingertips."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(float)
    share = np.zeros(shape)
    for _ in range(5):
        cx, cy, turn = rng.uniform(60, 240), rng.uniform(60, 240), rng.uniform(0, np.pi)
        u = (x - cx) * np.cos(turn) + (y - cy) * np.sin(turn)
        v = (y - cy) * np.cos(turn) - (x - cx) * np.sin(turn)
        inside = np.clip(1.5 - np.hypot(u / 14, v / 20), 0, 1)
        share = np.maximum(share, inside * (0.10 + 0.08 * np.cos(2 * np.pi * np.hypot(u, 0.7 * v + 30) / 1.4)))
    return share


# What the world does to a photo.
KEPT += [
    ("world-haze", replace(FAR, on_glass=0.07), ("specks", 4), {}),
    ("world-fingers", replace(FAR, on_glass=fingers(3)), ("veil", 2), {}),
    ("world-foil", replace(FAR, on_glass=0.22), ("specks", 4), {}),
    ("world-green", replace(FAR, tint=(0.90, 0.97, 0.93)), ("specks", 4), {}),
    ("world-white-bench", replace(FAR, behind=0.6), ("specks", 4), {}),
    ("world-frame", replace(FAR, frame_mm=22.0, aim=(0.0, 0.0), field_of_view=18.5), ("specks", 4), {}),
    ("world-sun", replace(FAR, sun_on_board=((700.0, 1300.0), (-380.0, 0.0), 3.0)), ("veil", 2), {}),
    ("world-window", replace(FAR, sun_on_board=((90.0, 140.0), (-40.0, 30.0), 60.0)), ("specks", 4), {}),
]


def drawn(seed):
    """A bench, a finish and a phone by lot, as a workshop may have them."""
    rng = np.random.default_rng(seed)
    near = rng.random() < 0.5
    yaw = rng.uniform(15 if near else 5, 20) * rng.choice([-1, 1])
    bench = Bench(
        glass_mm=float(rng.choice([2.0, 3.0, 4.0, 6.0, 8.0, 10.0])),
        edges=str(rng.choice(["polished", "ground", "painted"])),
        yaw=yaw,
        pitch=rng.uniform(-6, 6),
        roll=rng.uniform(-3, 3),
        aim=tuple(rng.uniform(-6, 6, 2)),
        camera_mm=1000.0,
        field_of_view=rng.uniform(16.5, 20.0),
        board_mm=800.0 if near else 1700.0,
        board_side_mm=800.0 if near else 1300.0,
        lamps=tuple(rng.uniform(0.9, 1.1, 2)),
        cloth=rng.uniform(0.015, 0.05),
        card=bool(rng.random() < 0.8),
        offcuts=int(rng.integers(1, 5)),
        bare=bool(rng.random() < 0.7),
    )
    name = str(rng.choice(["veil", "clouds", "specks", "all", "ridged"]))
    phone = {"brightest": rng.uniform(0.5, 0.8), "blur_px": rng.uniform(0.5, 1.0), "k1": rng.uniform(-0.01, 0.01)}
    return (f"drawn-{seed}", bench, (name, 1000 + seed), phone)


# Samples that pairs are drawn of, each photographed alone on the far bench: a name, and the finish with its seed.
SAMPLES = {"sample": ("all", 21), "sample-specks": ("specks", 22), "sample-ridged": ("ridged", 23), "sample-clouds": ("clouds", 24)}
KEPT += [
    (name, replace(FAR, size_mm=(100.0, 100.0)), finish, {}) for name, finish in SAMPLES.items() if name != "sample"
]


def pair(seed):
    """A sample beside a panel by lot: even seeds are of one finish, odd ones are not."""
    rng = np.random.default_rng(5000 + seed)
    name, (sample, _) = list(SAMPLES.items())[rng.integers(len(SAMPLES))]
    others = [other for other in FINISHES if other not in (sample, "plain")]
    look = sample if seed % 2 == 0 else str(rng.choice(others))
    near = rng.random() < 0.3
    size = float(rng.uniform(100, 180))
    apart = float(rng.uniform(15, 60))
    left = rng.random() < 0.5
    middle = (-1 if left else 1) * (size / 2 + apart + 50.0)
    across = size + apart + 100.0
    bench = Bench(
        size_mm=(round(size), round(size * rng.uniform(0.8, 1.2))),
        glass_mm=float(rng.choice([2.0, 3.0, 4.0, 6.0])),
        edges=str(rng.choice(["polished", "ground", "painted"])),
        # Seen past a near board, the camera stands farther off square.
        yaw=(rng.uniform(18, 19) if near else rng.uniform(8, 18)) * rng.choice([-1, 1]),
        pitch=rng.uniform(-5, 5),
        roll=rng.uniform(-3, 3),
        aim=((-1 if left else 1) * (apart + 100.0) / 2, 0.0),
        camera_mm=1200.0,
        field_of_view=float(np.degrees(2 * np.arctan(across / rng.uniform(0.72, 0.85) / 2 / 1200.0))),
        board_mm=900.0 if near else 1700.0,
        board_side_mm=1100.0 if near else 1500.0,
        lamps=tuple(rng.uniform(0.85, 1.15, 2)),
        cloth=rng.uniform(0.015, 0.05),
        card=False,
        offcuts=0,
        bare=False,
        beside=(SAMPLES[name], (100.0, 100.0), (middle, float(rng.uniform(-15, 15)))),
    )
    phone = {"brightest": rng.uniform(0.5, 0.8), "blur_px": rng.uniform(0.5, 1.0), "k1": rng.uniform(-0.01, 0.01)}
    return (f"pair-{seed}-{'same' if seed % 2 == 0 else 'other'}-{name}", bench, (look, 6000 + seed), phone)
