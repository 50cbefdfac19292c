"""Runs the readings in turn, so that whatever else the machine does falls on all alike, and prints them side by side.

The readings with libraries are written as the libraries' users would write them, at the program's own px/mm and with
the rig's light, so the figures must agree: the differences left are the rules for the blur at the panel's edges.
"""

import json
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

FOLDER = "target/tmp/bench"
PHOTO, ARCHIVE, RIG = f"{FOLDER}/panel.jpg", f"{FOLDER}/bench.sqlite", "bench"
HERE = Path(__file__).parent
RUNS = {
    "bare decode": ["target/release/examples/bare-decode", PHOTO],
    "paneprint": ["target/release/paneprint", "measure", "--json", "--rig", RIG, "--archive", ARCHIVE, PHOTO],
    "OpenCV": [sys.executable, HERE / "with_opencv.py", PHOTO, ARCHIVE, RIG],
    "scikit-image": [sys.executable, HERE / "with_scikit_image.py", PHOTO, ARCHIVE, RIG],
}
# A rim a tenth of a pixel wider, a blur 2 % apart, cells of unlike sizes move them by less.
AGREE = {"coverage": 0.001, "dark_fraction": 0.0005, "aggressiveness": 0.1, "streak_angle": 0.25}


def run(command):
    """Wall time, processor time, peak MiB and what was said."""
    begun = time.perf_counter()
    child = subprocess.Popen(command, stdout=subprocess.PIPE)
    said = child.stdout.read()
    _, status, used = os.wait4(child.pid, 0)
    if status:
        sys.exit(f"{command[:2]} failed")
    wall = time.perf_counter() - begun
    return wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, said


rounds = [{name: run(command) for name, command in RUNS.items()} for _ in range(int(sys.argv[1]))]
median = {name: [statistics.median(r[name][i] for r in rounds) for i in range(3)] for name in RUNS}
# Ratios within a round, for what disturbs a round disturbs all of it.
times = lambda name, of, i: statistics.median(r[name][i] / r[of][i] for r in rounds)
figures = {
    name: {key: json.loads(rounds[0][name][3])["measures"][key]["value"] for key in AGREE}
    for name in RUNS
    if name != "bare decode"
}

print(f"medians of {len(rounds)} runs, in turn; × ratios of wall time")
print(f"{'':14}{'wall s':>8}{'cpu s':>8}{'MiB':>7}{'× decode':>10}{'× program':>11}", *(f"{k:>15}" for k in AGREE))
for name, (wall, cpu, mib) in median.items():
    ratios = f"{times(name, 'bare decode', 0):>10.1f}{times(name, 'paneprint', 0):>11.2f}"
    shown = (f"{v:>15.4f}" for v in figures.get(name, {}).values())
    print(f"{name:14}{wall:>8.2f}{cpu:>8.2f}{mib:>7.0f}{ratios}", *shown)
print(f"{'to agree within':58}", *(f"{v:>15}" for v in AGREE.values()))

off = [
    f"{name}: {key} {value} is not within {AGREE[key]} of the program's {figures['paneprint'][key]}"
    for name, found in figures.items()
    for key, value in found.items()
    if abs(value - figures["paneprint"][key]) > AGREE[key]
]
sys.exit("\n".join(off) or None)
