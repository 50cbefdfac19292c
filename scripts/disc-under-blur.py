#!/usr/bin/env python3
"""How far blur draws in the half-way contour of a dark disc, and how much of it one step of sharpening puts back.

A disc of radius R is blurred by a Gaussian of standard deviation sigma and sharpened by s - k * laplacian(s) with the
five-point Laplacian of the pixel grid, k = min(sigma^2 / 2, 0.8). All lengths in pixels. Prints a = (R - r) * R for
the blurred and for the sharpened disc, and the share (a_blurred - a_sharpened) / k that src/measure/speckle.rs uses.

Needs numpy (written with 2.4.6).
"""

import numpy as np

SAMPLES_A_PIXEL = 12
SIDE_PX = 30


def contour_radius(sigma, radius, step):
    n = SIDE_PX * SAMPLES_A_PIXEL
    at = (np.arange(n) - n / 2 + 0.5) / SAMPLES_A_PIXEL
    distance = np.hypot(at[:, None], at[None, :])
    disc = np.clip((radius - distance) * SAMPLES_A_PIXEL + 0.5, 0, 1)
    w = 2 * np.pi * np.fft.fftfreq(n, 1 / SAMPLES_A_PIXEL)
    wx, wy = w[None, :], w[:, None]
    blur = np.exp(-(sigma**2) * (wx**2 + wy**2) / 2)
    sharpen = 1 + step * (4 - 2 * np.cos(wx) - 2 * np.cos(wy))
    seen = np.real(np.fft.ifft2(np.fft.fft2(disc) * blur * sharpen))
    return np.sqrt((seen > 0.5).sum() / SAMPLES_A_PIXEL**2 / np.pi)


shares = []
print("sigma  R     a blurred  a sharpened  share of the step")
for sigma in (0.7, 0.95, 1.3):
    step = min(sigma**2 / 2, 0.8)
    for radius in (2.0, 2.5, 3.0, 4.0, 6.0):
        blurred, sharpened = ((radius - contour_radius(sigma, radius, k)) * radius for k in (0.0, step))
        shares.append((blurred - sharpened) / step)
        print(f"{sigma:4.2f}  {radius:4.1f}  {blurred:9.3f}  {sharpened:11.3f}  {shares[-1]:17.3f}")
print(f"share for discs of 6 pixels: {np.mean(shares[4::5]):.2f}")
