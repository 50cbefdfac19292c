"""How much darker thin silver looks once its back is painted black: silver level before against the level after.

A panel is seen through 4 mm of glass (n = 1.52, no loss). Behind the silver lies air with something black behind it, then black
paint, twice: with a binder that matches the glass and swallows all light (n = 1.52), and with pigment at the silver itself
(n = 1.52 + 0.5i, an assumption). Silver: Johnson & Christy 1972, interpolated at 450, 550 and 650 nm. Levels are relative to
80 nm of silver, as the program's are: s = (R/R80 - b)/(1 - b), b = 0.063.
"""
import numpy as np
import tmm

SILVER = {450: 0.040000 + 2.648397j, 550: 0.059582 + 3.597367j, 650: 0.052225 + 4.409358j}
LUMINANCE = {450: 0.0722, 550: 0.7152, 650: 0.2126}
GLASS = 1.52
FRONT = ((GLASS - 1) / (GLASS + 1)) ** 2

def seen(thickness, behind):
    total = 0.0
    for nm, weight in LUMINANCE.items():
        film = tmm.coh_tmm("s", [GLASS, SILVER[nm], behind], [np.inf, thickness, np.inf], 0, nm)["R"]
        total += weight * (FRONT + (1 - FRONT) ** 2 * film / (1 - FRONT * film))
    return total

PAINTS, AIR = {"matched": 1.52, "pigmented": 1.52 + 0.5j}, 1.0
FULL, BARE = seen(80, AIR), 0.063

def level(reflected):
    return (reflected / FULL - BARE) / (1 - BARE)

for nm in [0, 1, 2, 3, 5, 7, 10, 12, 15, 17, 20, 25, 30, 35, 40, 50, 60, 80]:
    before = level(seen(nm, AIR))
    after = [level(seen(nm, paint)) for paint in PAINTS.values()]
    print(f"{nm:3d} nm  open {before:.3f}  painted, less:", "  ".join(f"{before - a:+.3f}" for a in after))
