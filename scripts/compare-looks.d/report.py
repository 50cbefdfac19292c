"""The tables that are printed."""

import numpy as np

from scores import area, pairs, search

VERDICTS = ["within", "unsure", "outside"]


def textures(textures, packages):
    """What was used, from where, under which licence."""
    print(f"{'texture':13}{'package':29}{'file':31}licence")
    for texture in textures:
        source = f"{texture.package} {packages[texture.package]}"
        uneven = "" if texture.even else ", uneven"
        print(f"{texture.name:13}{source:29}{texture.file:31}{texture.licence}{uneven}")


def heading(count):
    print(f"\n{count} pieces; each asks which of the other {count - 1} is of its texture\n")
    print(f"{'method':23}{'first':>7}{'1/rank':>8}{'ROC area':>10}{'s':>7}  not first, and the place it came at")


def row(method, distances, places, textures, names, seconds):
    """A method's scores, and where it failed."""
    first, reciprocal = search(places)
    failed = ", ".join(f"{name} {place}" for name, place in zip(names, places) if place > 1)
    roc = area(distances, textures)
    print(f"{method:23}{first:7.3f}{reciprocal:8.3f}{roc:10.4f}{seconds:7.1f}  {failed}", flush=True)


def verdicts(of, said, textures, names, even):
    """How a verdict fares on pairs of different textures and on pairs of the same, each way round."""
    print(f"\nverdicts of the {of}, each pair both ways round")
    print(f"{'':23}{'pairs':>7}" + "".join(f"{verdict:>9}" for verdict in VERDICTS))
    same, different = (pairs(textures, alike) for alike in (True, False))
    groups = {
        "different textures": different,
        "same, even": same & even[:, None],
        "same, uneven": same & ~even[:, None],
    }
    for group, where in groups.items():
        counts = "".join(f"{np.sum(said[where] == verdict):9}" for verdict in VERDICTS)
        print(f"{group:23}{where.sum():7}{counts}")
    named("different, yet within", (said == "within") & different, names)
    named("the same, yet outside", (said == "outside") & same, names)


def named(what, where, names):
    """The pairs by name, the piece that asks first."""
    if where.any():
        print(f"{what}: " + ", ".join(f"{names[a]} to {names[b]}" for a, b in np.argwhere(where)))
