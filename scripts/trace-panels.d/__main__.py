"""Path-trace the photos of `photos.py`: `trace-panels FOLDER [NAME | SEED..SEED | pairs:SEED..SEED] ...`."""

import json
import sys
from dataclasses import replace
from pathlib import Path

import mitsuba as mi

mi.set_variant("scalar_rgb" if "--scalar" in sys.argv else "llvm_ad_rgb")

import numpy as np

import phone
import photos
import scene

WIDTH, HEIGHT = 1600, 1200
# A pixel's mean is of so many passes, each cut off well above the brightest silver: a few of the ways through a ground edge find a lamp.
PASSES, SAMPLES = 4, 8
LIGHT = {}


def light(bench, finish):
    """Linear light of a bench, traced once for all that photograph it."""
    key = repr((bench, finish))
    if key not in LIGHT:
        if bench.beside:
            (name, seed), size, middle = bench.beside
            bench = replace(bench, beside=(photos.finish(name, seed, size).silver, size, middle))
        parts = scene.scene(bench, photos.finish(*finish, bench.size_mm).silver)
        parts["sensor"] = scene.camera(bench, WIDTH, HEIGHT)[0]
        traced = mi.load_dict(parts)
        passes = [np.array(mi.render(traced, spp=SAMPLES, seed=k)).astype(np.float64) for k in range(PASSES)]
        LIGHT[key] = np.mean([np.minimum(p, 1.5 * np.percentile(p, 98)) for p in passes], axis=0)
    return LIGHT[key]


def rectangle(project, middle, side):
    signs = [(-1, 1), (1, 1), (1, -1), (-1, -1)]
    return [project([middle[0] + sx * side / 2, middle[1] + sy * side / 2, 0.0]) for sx, sy in signs]


def truth(bench, finish, settings):
    _, origin, project = scene.camera(bench, WIDTH, HEIGHT)
    k1 = settings.get("k1", 0.0)
    at = scene.places(bench)

    def seen(point):
        return phone.bend_point(project(point), k1, WIDTH, HEIGHT)

    glass, silver, hidden = scene.corners(origin, seen, (0.0, 0.0), bench.size_mm, bench.glass_mm)
    told = {
        "size_mm": bench.size_mm,
        "glass_mm": bench.glass_mm,
        "corners_of_the_glass": glass,
        "corners_of_the_silver": silver,
        "hidden_mm": hidden,
        "offcuts": [rectangle(seen, middle, scene.OFFCUT_MM) for middle in at["offcuts"]],
        "card": rectangle(seen, at["card"], scene.CARD_MM) if bench.card else None,
        "bare": rectangle(seen, at["bare"], scene.BARE_MM) if bench.bare else None,
        "figures": photos.finish(*finish, bench.size_mm).truth(hidden),
    }
    if bench.beside:
        (name, seed), size, middle = bench.beside
        told["beside"] = {
            "size_mm": size,
            "corners_of_the_silver": scene.corners(origin, seen, middle, size, bench.glass_mm)[1],
        }
    return told


def main():
    folder, *wanted = [word for word in sys.argv[1:] if word != "--scalar"]
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    names = [word for word in wanted if ".." not in word]
    kept = [row for row in photos.KEPT if row[0] in names or not (wanted or row[0].startswith("sample-"))]
    for word in wanted:
        if ".." in word:
            lot = photos.pair if word.startswith("pairs:") else photos.drawn
            first, last = map(int, word.removeprefix("pairs:").split(".."))
            kept += [lot(seed) for seed in range(first, last + 1)]
    told_path = folder / "truth.json"
    told = json.loads(told_path.read_text()) if told_path.exists() else {}
    for seed, (name, bench, finish, settings) in enumerate(kept):
        (folder / f"{name}.jpg").write_bytes(phone.photo(light(bench, finish), seed, **settings))
        told[name] = truth(bench, finish, settings)
        told_path.write_text(json.dumps(told, indent=1) + "\n")
        print(name, flush=True)


main()
