"""A reading of one photo written with OpenCV: PHOTO ARCHIVE RIG, one JSON object out."""

import cv2
import numpy as np

import shared
from shared import CLEAR, CONTRAST, DARK, Windows


def rectified(codes, scene):
    """Ratios to full silver on the panel's grid, red, green and blue, and the blur of it, pixels."""
    rows, cols = scene.crop(codes.shape)
    light = cv2.LUT(codes[rows, cols], shared.LINEAR)
    offset = np.array([cols.start, rows.start]) + 0.5

    at = (scene.across_edges() - offset).astype(np.float32)
    seen = cv2.remap(light, at.reshape(-1, at.shape[2], 2), None, cv2.INTER_LINEAR)
    edge_px = scene.edge_px((seen @ shared.LUMINANCE[::-1]).reshape(at.shape[:3]))

    (height, width), corners = scene.grid(edge_px)
    to_crop = cv2.getPerspectiveTransform(corners.astype(np.float32), (scene.corners - offset).astype(np.float32))
    panel = cv2.warpPerspective(light, to_crop, (width, height), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)

    left, top, right, bottom = scene.patch
    patch = shared.trimmed_mean(cv2.LUT(codes[top:bottom, left:right], shared.LINEAR))[::-1]
    on_photo = lambda u, v: cv2.perspectiveTransform(np.stack([u * width, v * height], axis=-1), to_crop) + offset
    gain = scene.gain(patch, codes.shape, on_photo)
    panel *= cv2.resize(gain[..., ::-1], (width, height), interpolation=cv2.INTER_LINEAR)
    return panel, edge_px


def means(plane, cell):
    rows, cols = plane.shape[:2]
    return cv2.resize(plane, (round(cols / cell), round(rows / cell)), interpolation=cv2.INTER_AREA)


def autocorrelation(plane):
    """Autocorrelation by FFT, zero lag in the middle; of one plane."""
    padded = [cv2.getOptimalDFTSize(2 * n) for n in plane.shape]
    spectrum = cv2.dft(padded_to(plane - plane.mean(), padded), flags=cv2.DFT_COMPLEX_OUTPUT)
    power = cv2.mulSpectrums(spectrum, spectrum, 0, conjB=True)
    return np.fft.fftshift(cv2.dft(power, flags=cv2.DFT_INVERSE | cv2.DFT_REAL_OUTPUT | cv2.DFT_SCALE))


def padded_to(plane, shape):
    out = np.zeros(shape, np.float32)
    out[: plane.shape[0], : plane.shape[1]] = plane
    return out


def cloud_scale(plane):
    """Distance at which the autocorrelation, averaged over directions, falls to 1/e, cells."""
    sums = autocorrelation(plane)
    reach = min(plane.shape) // 3
    r, c = (n // 2 for n in sums.shape)
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    overlap = (plane.shape[0] - abs(y)) * (plane.shape[1] - abs(x))
    near = sums[r - reach : r + reach + 1, c - reach : c + reach + 1] / overlap
    ring = np.rint(np.hypot(y, x)).astype(int).ravel()
    profile = np.bincount(ring, near.ravel()) / np.bincount(ring)
    profile = profile[:reach] / profile[0]
    below = int(np.argmax(profile < np.exp(-1))) or reach - 1
    return below - 1 + (profile[below - 1] - np.exp(-1)) / (profile[below - 1] - profile[below])


def variances(silver, blur_mm, px_per_mm):
    """Variance of the silver after smoothing to each scale; halved on the way while the blur spans many pixels."""
    found, plane, at_mm, scale = {}, silver, blur_mm, px_per_mm
    for to_mm in shared.SCALES_MM:
        while to_mm * scale > 4:
            plane = cv2.resize(plane, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
            at_mm = np.hypot(at_mm, 0.5 / scale)
            scale /= 2
        added = np.sqrt(max(to_mm**2 - at_mm**2, 0)) * scale
        plane = cv2.GaussianBlur(plane, (0, 0), added, borderType=cv2.BORDER_REFLECT) if added > 0.1 else plane
        found[to_mm], at_mm = float(cv2.meanStdDev(plane)[1][0, 0]) ** 2, to_mm
    return found


def nearest_of(places):
    """Distance of each place from the nearest other."""
    places = places.astype(np.float32)
    kd_tree_single, unlimited = 4, -1
    tree = cv2.flann.Index(places, {"algorithm": kd_tree_single})
    _, squared = tree.knnSearch(places, 2, params={"checks": unlimited})
    return np.sqrt(squared[:, 1])


def main():
    photo, scene = shared.arguments()
    codes = cv2.imread(photo, cv2.IMREAD_COLOR)
    ratios, edge_px = rectified(codes, scene)
    scale = scene.px_per_mm
    level = np.append(shared.LUMINANCE[::-1], -shared.BARE_RATIO) / (1 - shared.BARE_RATIO)
    own = cv2.transform(ratios, level[None].astype(np.float32))
    rows, cols = own.shape

    blur_mm = edge_px / scale
    missing = np.sqrt(max(shared.STANDARD_MM**2 - blur_mm**2, 0)) * scale
    silver = cv2.GaussianBlur(own, (0, 0), missing) if missing > 0.1 else own
    silver = np.clip(silver, 0, 1)

    # Silver around each place: bright envelope of coarse cells, closed over the largest speckle.
    cells = means(own, shared.ENVELOPE_MM * scale)
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (5, 5))
    around = cv2.GaussianBlur(cv2.morphologyEx(cells, cv2.MORPH_CLOSE, disc), (0, 0), 1)
    threshold = cv2.resize(CONTRAST * around, (cols, rows), interpolation=cv2.INTER_LINEAR)
    dark = cv2.compare(own, threshold, cv2.CMP_LT)

    # The silver without dark spots, and where it is free of them.
    quiet = means(own, shared.QUIET_MM * scale)
    spots = cv2.dilate(means(dark.astype(np.float32), shared.QUIET_MM * scale), np.ones((3, 3)))
    free = (spots == 0).astype(np.float32)
    blurred, weight = (cv2.GaussianBlur(p, (0, 0), 3) for p in (quiet * free, free))
    quiet = np.where(free > 0, quiet, blurred / np.maximum(weight, 1e-3))
    clouds = means(quiet, shared.CLOUD_MM / shared.QUIET_MM)
    cloud_mm = cloud_scale(clouds) * shared.CLOUD_MM
    windows = Windows(own.shape, cloud_mm, scale)

    each = windows.over(own.shape)
    total = lambda plane: np.array([cv2.sumElems(plane[at])[0] for at in windows.over(plane.shape)])
    count = lambda mask: np.array([cv2.countNonZero(mask[at]) for at in each])
    loss = 1 - silver
    has_tone = cv2.compare(own, DARK, cv2.CMP_GE)
    band = int(min(0.1 * min(scene.size), 15) * scale - 3 * edge_px - 1)
    middle = np.zeros((rows, cols), np.uint8)
    middle[band:-band, band:-band] = 1
    w = {
        "pixels": np.array([silver[at].size for at in each]),
        "silver": total(silver),
        "squared": np.array([cv2.norm(loss[at], cv2.NORM_L2SQR) for at in each]),
        "clear": count(cv2.compare(silver, CLEAR, cv2.CMP_GE)),
        "dark": count(cv2.compare(silver, DARK, cv2.CMP_LT)),
        "middle_pixels": count(middle),
        "tone_pixels": count(has_tone),
    }
    w["middle"] = np.array([cv2.mean(silver[at], middle[at])[0] for at in each]) * w["middle_pixels"]
    w["tone"] = np.array([cv2.mean(ratios[at], has_tone[at])[2::-1] for at in each]) * w["tone_pixels"][:, None]
    histogram = cv2.calcHist([silver], [0], None, [shared.SILVER_BINS], [0, 1 + 1e-6]).ravel() / silver.size

    _, _, stats, middles = cv2.connectedComponentsWithStats(dark, connectivity=8, ltype=cv2.CV_32S)
    left, top, width, height, area = stats[1:].T
    diameter = np.sqrt(area * 4 / np.pi) / scale
    floor_mm = max(shared.SPECKLE_MM[0], 4 / scale, 2.5 * blur_mm)
    box = (top, left, top + height, left + width)
    w |= shared.speckle_sums(middles[1:, ::-1].T + 0.5, diameter, box, windows, scale, floor_mm, nearest_of)

    below = cv2.compare(own, DARK, cv2.CMP_LT)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(below, connectivity=8, ltype=cv2.CV_32S)
    large = np.sqrt(stats[:, cv2.CC_STAT_AREA] * 4 / np.pi) / scale > shared.SPECKLE_MM[1]
    large[0] = False
    w["blot"] = count(large.astype(np.uint8)[labels])

    # Streaks: tensor of the slopes away from spots and edges.
    smooth = cv2.GaussianBlur(quiet, (0, 0), shared.DERIVATIVE_MM / shared.QUIET_MM)
    gx, gy = cv2.Scharr(smooth, cv2.CV_32F, 1, 0), -cv2.Scharr(smooth, cv2.CV_32F, 0, 1)
    inside = cv2.erode(free, np.ones((5, 5)), borderType=cv2.BORDER_CONSTANT, borderValue=0)
    gx, gy = gx * inside, gy * inside
    xx, yy = gx * gx, gy * gy
    w |= {"cos": total(xx - yy), "sin": total(2 * gx * gy), "trace": total(xx + yy)}
    along = (cv2.phase(gx, gy, angleInDegrees=True) + 90) % 180
    rose = np.bincount((along * (shared.ROSE_BINS / 180)).astype(int).ravel(), (xx + yy).ravel(), shared.ROSE_BINS + 1)

    # Spacing: each window's autocorrelation along the line across the streaks.
    axis = np.arctan2(w["sin"].sum(), w["cos"].sum()) / 2
    pieces = windows.over(clouds.shape)
    lags = np.arange(0, min(min(clouds[at].shape) for at in pieces) / 2, 0.5)
    x, y = (v.astype(np.float32) for v in (lags * np.cos(axis), -lags * np.sin(axis)))
    profiles = []
    for at in pieces:
        near = autocorrelation(clouds[at])
        rows_mid, cols_mid = near.shape[0] // 2, near.shape[1] // 2
        profiles.append(cv2.remap(near, x + cols_mid, y + rows_mid, cv2.INTER_LINEAR).ravel())
    w["across"] = np.array(profiles)

    shared.say(
        {
            "measures": shared.measures(w, scene.size, rows * cols / scale**2, shared.CLOUD_MM / 2),
            "px_per_mm": scale,
            "blur_mm": blur_mm,
            "cloud_scale_mm": cloud_mm,
            "variance": variances(silver, max(blur_mm, shared.STANDARD_MM), scale),
            "silver_histogram": histogram,
            "streak_rose": rose[:-1] / rose.sum(),
        }
    )


main()
