"""What the program says of the pieces, each kept from its photo: which is nearest, how far apart, and the verdicts."""

import json
import subprocess
import tempfile
from pathlib import Path

import numpy as np

import photos

PROGRAM = Path("target/release/paneprint").absolute()
# Within, outside, too close to call.
ANSWERED = [0, 1, 4]


def compare(pieces, names):
    """Distances and verdicts, rows asking and columns as the sample, and the places at which `find` names each.

    The distance and the first verdicts are the look's own, from a match's wholes; a program that has none answers with
    the distance of `find` and without those verdicts. The second verdicts are the match's.
    """
    with tempfile.TemporaryDirectory() as folder:
        keep(pieces, names, folder)
        distances, order = found(names, folder)
        matches = {(a, b): match(a, b, folder) for a in names for b in names if a != b}
    looks = {pair: answer["wholes"].get("look") for pair, answer in matches.items()}
    has_look = all(looks.values())
    if has_look:
        distances = table(names, lambda pair: looks[pair]["difference"], np.nan).astype(float)
        # Two pieces that could not be set against each other are as far apart as can be.
        distances[np.isnan(distances)] = np.inf
        np.fill_diagonal(distances, 0)
    verdicts = {"look": table(names, lambda pair: looks[pair]["verdict"], None)} if has_look else {}
    verdicts["match"] = table(names, lambda pair: matches[pair]["verdict"], None)
    return distances, order, verdicts


def keep(pieces, names, folder):
    """Writes a photo of each piece and keeps them all in an archive of their own."""
    files = [Path(folder) / f"{name}.png" for name in names]
    for piece, file in zip(pieces, files):
        photos.write(piece, file)
    run(["keep", *photos.PLACED, "--stage=dry", "--json", *files], folder, [0])


def found(names, folder):
    """The distances that `find` tells, and the places at which it names each other piece."""
    distances, order = np.full((2, len(names), len(names)), np.inf)
    for row, name in enumerate(names):
        near = run(["find", name, f"--most={len(names)}", "--json"], folder, [0])["near"]
        for place, finish in enumerate(near, start=1):
            column = names.index(finish["name"])
            distances[row, column], order[row, column] = finish["distance"], place
    np.fill_diagonal(distances, 0)
    return distances, order


def match(panel, sample, folder):
    return run(["match", panel, "--to", sample, "--json"], folder, ANSWERED)


def run(arguments, folder, codes):
    """One call of the program on the archive; the last line that it says, read as JSON."""
    done = subprocess.run([PROGRAM, *arguments, "--archive", f"{folder}/looks.sqlite"], capture_output=True, text=True)
    if done.returncode not in codes:
        raise SystemExit(f"paneprint {arguments[0]} ended with {done.returncode}: {done.stderr}")
    return json.loads(done.stdout.splitlines()[-1])


def table(names, of, diagonal):
    """A value for each ordered pair."""
    return np.array([[diagonal if a == b else of((a, b)) for b in names] for a in names], dtype=object)
