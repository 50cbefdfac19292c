"""A reading of one photo written with scikit-image and SciPy: PHOTO ARCHIVE RIG, one JSON object out."""

import numpy as np
from scipy import fft, ndimage
from scipy.spatial import KDTree
from skimage import io
from skimage.measure import label
from skimage.morphology import disk
from skimage.transform import ProjectiveTransform, downscale_local_mean, resize, warp

import shared
from shared import CLEAR, CONTRAST, DARK, Windows


def rectified(codes, scene):
    """Ratios to full silver on the panel's grid, red, green and blue, and the blur of it, pixels."""
    rows, cols = scene.crop(codes.shape)
    light = shared.LINEAR[codes[rows, cols]]
    offset = np.array([cols.start, rows.start]) + 0.5

    at = np.moveaxis(scene.across_edges() - offset, -1, 0)[::-1]
    seen = sum(w * ndimage.map_coordinates(light[..., i], at, order=1) for i, w in enumerate(shared.LUMINANCE))
    edge_px = scene.edge_px(seen)

    (height, width), corners = scene.grid(edge_px)
    to_crop = ProjectiveTransform.from_estimate(corners, scene.corners - offset)
    panel = warp(light, to_crop, output_shape=(height, width), order=1)

    left, top, right, bottom = scene.patch
    patch = shared.trimmed_mean(shared.LINEAR[codes[top:bottom, left:right]])

    def on_photo(u, v):
        places = to_crop(np.stack([u * width, v * height], axis=-1).reshape(-1, 2))
        return places.reshape(*u.shape, 2) + offset

    gain = scene.gain(patch, codes.shape, on_photo)
    for i in range(3):
        panel[..., i] *= resize(gain[..., i], (height, width), order=1)
    return panel, edge_px


def cells_of(plane, cell_px):
    """Means over square cells of a whole number of pixels; what is left over at the far edges is left out."""
    rows, cols = (n // cell_px * cell_px for n in plane.shape)
    return downscale_local_mean(plane[:rows, :cols], (cell_px, cell_px)).astype(np.float32)


def cloud_scale(plane):
    """Distance at which the autocorrelation, averaged over directions, falls to 1/e, cells."""
    reach = min(plane.shape) // 3
    near = autocorrelations((plane - plane.mean())[None])[0]
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    near = near[y, x] / ((plane.shape[0] - abs(y)) * (plane.shape[1] - abs(x)))
    ring = np.rint(np.hypot(y, x)).astype(int)
    profile = ndimage.mean(near, ring, np.arange(reach))
    profile /= profile[0]
    below = int(np.argmax(profile < np.exp(-1))) or reach - 1
    return below - 1 + (profile[below - 1] - np.exp(-1)) / (profile[below - 1] - profile[below])


def autocorrelations(planes):
    """Autocorrelation of each plane by FFT, zero lag at index 0, negative lags at the end."""
    padded = [fft.next_fast_len(2 * n, real=True) for n in planes.shape[1:]]
    spectrum = fft.rfft2(planes, padded, workers=-1)
    return fft.irfft2(spectrum.real**2 + spectrum.imag**2, padded, workers=-1)


def variances(silver, blur_mm, px_per_mm):
    """Variance of the silver after smoothing to each scale; halved on the way while the blur spans many pixels."""
    found, plane, at_mm, scale = {}, silver, blur_mm, px_per_mm
    for to_mm in shared.SCALES_MM:
        while to_mm * scale > 4:
            plane = cells_of(plane, 2)
            at_mm = np.hypot(at_mm, 0.5 / scale)
            scale /= 2
        added = np.sqrt(max(to_mm**2 - at_mm**2, 0)) * scale
        plane = ndimage.gaussian_filter(plane, added) if added > 0.1 else plane
        found[to_mm], at_mm = float(plane.var(dtype=np.float64)), to_mm
    return found


def main():
    photo, scene = shared.arguments()
    codes = io.imread(photo)
    ratios, edge_px = rectified(codes, scene)
    scale = scene.px_per_mm
    own = (ratios @ shared.LUMINANCE - np.float32(shared.BARE_RATIO)) / np.float32(1 - shared.BARE_RATIO)
    rows, cols = own.shape

    blur_mm = edge_px / scale
    missing = np.sqrt(max(shared.STANDARD_MM**2 - blur_mm**2, 0)) * scale
    silver = ndimage.gaussian_filter(own, missing) if missing > 0.1 else own
    silver = np.clip(silver, 0, 1)

    # Silver around each place: bright envelope of coarse cells, closed over the largest speckle.
    envelope_px, quiet_px = (max(round(mm * scale), 1) for mm in (shared.ENVELOPE_MM, shared.QUIET_MM))
    closed = ndimage.grey_closing(cells_of(own, envelope_px), footprint=disk(2))
    around = CONTRAST * ndimage.gaussian_filter(closed, 1)
    threshold = resize(around, (rows, cols), order=1)
    dark = own < threshold

    # The silver without dark spots, and where it is free of them.
    quiet = cells_of(own, quiet_px)
    quiet_mm = quiet_px / scale
    free = ~ndimage.binary_dilation(cells_of(dark, quiet_px) > 0, np.ones((3, 3)))
    blurred, weight = (ndimage.gaussian_filter(p, 3) for p in (quiet * free, free.astype(np.float32)))
    quiet = np.where(free, quiet, blurred / np.maximum(weight, 1e-3))
    cloud_px = max(round(shared.CLOUD_MM / quiet_mm), 1)
    clouds = cells_of(quiet, cloud_px)
    cloud_mm = cloud_scale(clouds) * cloud_px * quiet_mm
    windows = Windows(own.shape, cloud_mm, scale)

    def total(plane, dtype=np.float32):
        down, across = (cuts[:-1] for cuts in windows.cuts(plane.shape[:2]))
        sums = np.add.reduceat(np.add.reduceat(plane, down, axis=0, dtype=dtype), across, axis=1)
        return sums.reshape(windows.count, -1).squeeze().astype(float)

    count = lambda mask: total(mask, np.int32)
    has_tone = own >= DARK
    band = int(min(0.1 * min(scene.size), 15) * scale - 3 * edge_px - 1)
    middle = np.zeros((rows, cols), bool)
    middle[band:-band, band:-band] = True
    w = {
        "pixels": count(np.ones((rows, cols), bool)),
        "silver": total(silver),
        "squared": total((1 - silver) ** 2),
        "clear": count(silver >= CLEAR),
        "dark": count(silver < DARK),
        "middle": total(silver * middle),
        "middle_pixels": count(middle),
        "tone": total(ratios * has_tone[..., None]),
        "tone_pixels": count(has_tone),
    }
    histogram = np.histogram(silver, shared.SILVER_BINS, (0, 1))[0] / silver.size

    def areas(mask):
        labels = label(mask, connectivity=2)
        pixels = np.bincount(labels.ravel())
        pixels[0] = 0
        return labels, np.sqrt(pixels * 4 / np.pi) / scale

    labels, diameter = areas(dark)
    boxes = np.array([[r.start, c.start, r.stop, c.stop] for r, c in ndimage.find_objects(labels)]).T
    at = np.flatnonzero(labels)
    of = labels.ravel()[at]
    pixels = np.bincount(of)[1:]
    middles = [np.bincount(of, i)[1:] / pixels + 0.5 for i in np.divmod(at, cols)]
    floor_mm = max(shared.SPECKLE_MM[0], 4 / scale, 2.5 * blur_mm)
    nearest_of = lambda places: KDTree(places).query(places, k=2)[0][:, 1]
    w |= shared.speckle_sums(middles, diameter[1:], boxes, windows, scale, floor_mm, nearest_of)

    labels, diameter = areas(own < DARK)
    w["blot"] = count((diameter > shared.SPECKLE_MM[1])[labels])

    # Streaks: tensor of Gaussian derivatives away from spots and edges.
    sigma = shared.DERIVATIVE_MM / quiet_mm
    inside = ndimage.binary_erosion(free, np.ones((5, 5)))
    gx = ndimage.gaussian_filter(quiet, sigma, order=(0, 1)) * inside
    gy = -ndimage.gaussian_filter(quiet, sigma, order=(1, 0)) * inside
    xx, yy = gx * gx, gy * gy
    w |= {"cos": total(xx - yy), "sin": total(2 * gx * gy), "trace": total(xx + yy)}
    along = np.arctan2(gy, gx) / np.pi + 1.5
    rose = np.bincount((along * shared.ROSE_BINS).astype(int).ravel() % shared.ROSE_BINS, (xx + yy).ravel())

    # Spacing: each window's autocorrelation along the line across the streaks.
    axis = np.arctan2(w["sin"].sum(), w["cos"].sum()) / 2
    pieces = [clouds[at] for at in windows.over(clouds.shape)]
    least = tuple(min(p.shape[i] for p in pieces) for i in (0, 1))
    near = autocorrelations(np.array([p[: least[0], : least[1]] - p.mean() for p in pieces]))
    lags = np.arange(0, min(least) / 2, 0.5)
    line = np.array([-lags * np.sin(axis), lags * np.cos(axis)])
    w["across"] = np.array([ndimage.map_coordinates(p, line, order=1, mode="grid-wrap") for p in near])

    shared.say(
        {
            "measures": shared.measures(w, scene.size, rows * cols / scale**2, cloud_px * quiet_mm / 2),
            "px_per_mm": scale,
            "blur_mm": blur_mm,
            "cloud_scale_mm": cloud_mm,
            "variance": variances(silver, max(blur_mm, shared.STANDARD_MM), scale),
            "silver_histogram": histogram,
            "streak_rose": rose / rose.sum(),
        }
    )


main()
