"""What Zujovic, Pappas & Neuhoff (2013, IEEE TIP 22) report of a known-item search, from the distances of all pairs.

Rows of every table are the pieces that ask, columns those that are asked about.
"""

import numpy as np
from scipy.stats import mannwhitneyu


def places(distances, textures):
    """For each piece as the question, the place at which the other piece of its texture comes, the first being 1.

    Of equal distances the other piece comes last, so that a method gains nothing by telling nobody apart.
    """
    found = []
    for piece, row in enumerate(distances):
        other = textures == textures[piece]
        other[piece] = False
        others = np.arange(len(row)) != piece
        found.append(int(np.sum(row[others] <= row[other])))
    return np.array(found)


def search(places):
    """Precision at one, and the mean of the places' reciprocals."""
    return float(np.mean(places == 1)), float(np.mean(1 / places))


def area(distances, textures):
    """Area under the ROC curve: the chance that two pieces of one texture are nearer than two of different ones.

    That is Mann and Whitney's U over the number of pairs of pairs; a tie counts half.
    """
    same, different = (distances[pairs(textures, alike)] for alike in (True, False))
    return float(mannwhitneyu(different, same).statistic / (len(different) * len(same)))


def pairs(textures, alike):
    """Where the pairs of one texture stand in a table, or those of different ones, each both ways round."""
    wanted = (textures[:, None] == textures) == alike
    return wanted & ~np.eye(len(textures), dtype=bool)
