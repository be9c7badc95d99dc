"""A sheet seen by a known camera, drawn and computed with NumPy and SciPy alone.

peer.py SEED FILE writes the pixels of a picture (8 bit, RGB, row by row) and prints what is known of it as JSON.
"""

import json
import sys

import numpy as np
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

WIDTH, HEIGHT = 1600, 1200
SHEET = np.array([[0.0, 0.0], [297.0, 0.0], [297.0, 210.0], [0.0, 210.0]])


def main(seed, path):
    lot = np.random.default_rng(seed)
    half = np.hypot(WIDTH, HEIGHT) / 2
    focal = lot.uniform(24, 30) / 21.633 * half
    bend = lot.uniform(-0.05, 0.05)
    tilt = lot.uniform(0, 18)
    azimuth = lot.uniform(0, 360)
    far = lot.uniform(420, 480)
    middle = np.array([(WIDTH - 1) / 2, (HEIGHT - 1) / 2])
    # The camera looks at the middle of the sheet, its x to the right and its y towards the front.
    turn = (
        Rotation.from_euler("z", azimuth, degrees=True)
        * Rotation.from_euler("x", tilt, degrees=True)
        * Rotation.from_euler("z", -azimuth + lot.uniform(-6, 6), degrees=True)
        * Rotation.from_euler("x", 180, degrees=True)
    )
    axes = turn.as_matrix()  # columns: the camera's axes in the sheet's frame
    target = np.array([148.5, 105.0, 0.0])
    position = target - far * axes[:, 2]
    matrix = np.diag([focal, focal, 1.0])
    matrix[:2, 2] = middle
    projection = matrix @ axes.T @ np.column_stack([np.eye(3), -position])
    plane = projection[:, [0, 1, 3]]  # z = 0

    def bent(points):
        d = (points - middle) / half
        r2 = (d**2).sum(-1, keepdims=True)
        return middle + d * (1 + bend * r2) * half

    def straight(points):
        d = (points - middle) / half
        seen = np.hypot(d[..., 0], d[..., 1])
        r = seen.copy()
        for _ in range(20):
            r -= (r * (1 + bend * r * r) - seen) / (1 + 3 * bend * r * r)
        return middle + d * np.where(seen < 1e-12, 1.0, r / np.maximum(seen, 1e-12))[..., None] * half

    seen = np.column_stack([SHEET, np.ones(4)]) @ plane.T
    flat = seen[:, :2] / seen[:, 2:]
    corners = bent(flat)
    # One corner's radius once more by a bracketing root finder.
    d = (corners[0] - middle) / half
    radius = brentq(lambda r: r * (1 + bend * r * r) - np.hypot(*d), 0, 2, xtol=1e-14)
    assert abs(radius - np.hypot(*((flat[0] - middle) / half))) < 1e-9

    light = np.zeros((HEIGHT, WIDTH))
    inverse = np.linalg.inv(plane)
    steps = (np.arange(3) + 0.5) / 3 - 0.5
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH].astype(float)
    for dx in steps:
        for dy in steps:
            p = straight(np.stack([x + dx, y + dy], axis=-1))
            q = np.concatenate([p, np.ones(p.shape[:2] + (1,))], axis=-1) @ inverse.T
            u, v = q[..., 0] / q[..., 2], q[..., 1] / q[..., 2]
            light += (0 <= u) & (u <= 297) & (0 <= v) & (v <= 210)
    light = 0.05 + 0.7 * light / 9 + lot.normal(0, 0.004, light.shape)
    light = np.clip(light, 0, 1)
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    grey = np.round(code * 255).astype(np.uint8)
    with open(path, "wb") as file:
        file.write(np.repeat(grey[..., None], 3, axis=2).tobytes())

    # A homography by the singular vectors of all eight equations, as any four points have one.
    other = SHEET + lot.uniform(-40, 40, SHEET.shape)
    rows = []
    for (a, b), (c, d) in zip(SHEET, other):
        rows.append([a, b, 1, 0, 0, 0, -c * a, -c * b, -c])
        rows.append([0, 0, 0, a, b, 1, -d * a, -d * b, -d])
    h = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    print(
        json.dumps(
            {
                "width": WIDTH,
                "height": HEIGHT,
                "corners": corners.tolist(),
                "position": position.tolist(),
                "tilt": float(np.degrees(np.arccos(-axes[2, 2]))),
                "bend": bend,
                "focal_35": focal / half * 21.633,
                "from": SHEET.tolist(),
                "to": other.tolist(),
                "homography": (h / h[2, 2]).tolist(),
            }
        )
    )


main(int(sys.argv[1]), sys.argv[2])
