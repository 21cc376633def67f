"""Makes reference.json: homographies, their covariances and radial distortion by OpenCV.

Run in this folder with Debian's python3-opencv (the versions are in ../README.md):

    /usr/bin/python3 reference.py > reference.json
"""

import json
import sys

import cv2
import numpy as np


def corners(columns, rows):
    """Top-left first, clockwise; boxes, y up."""
    x, y = columns / 2, rows / 2
    return [[-x, y], [x, y], [x, -y], [-x, -y]]


def homography(boxes, pixels):
    """Four points fix it; getPerspectiveTransform works in float64 but takes its points as float32."""
    h = cv2.getPerspectiveTransform(np.float32(boxes), np.float32(pixels))
    return (h / h[2, 2]).reshape(9)


def covariance(boxes, pixels, sigma):
    """First-order covariance of h0..h7 when each corner's coordinate is off by sigma px for itself. The Jacobian
    is by central differences of OpenCV's own homography over 1/4 and 1/2 px (exact in float32), the step's
    square cancelled by Richardson's rule: 1e-7 or better."""
    jacobian = np.zeros((8, 8))
    for k in range(8):
        slopes = []
        for step in (0.25, 0.5):
            ends = []
            for sign in (1, -1):
                moved = np.float64(pixels)
                moved[k // 2, k % 2] += sign * step
                ends.append(homography(boxes, moved)[:8])
            slopes.append((ends[0] - ends[1]) / (2 * step))
        jacobian[:, k] = (4 * slopes[0] - slopes[1]) / 3
    return sigma**2 * jacobian @ jacobian.T


def homographies():
    cases = [
        (10, 8, [[150, 120], [850, 150], [880, 700], [130, 680]]),
        (14, 8, [[801, 412], [3207, 640], [3150, 2261], [744, 1980]]),
        (8, 10, [[3000, 500], [3100, 2900], [900, 2700], [1100, 400]]),  # on its side
        (12, 8, [[10.25, 20.5], [1000.75, 15.25], [1010.5, 700.25], [5.5, 710.75]]),
        (15, 10, [[2200, 900], [4800, 300], [5100, 3900], [2000, 2800]]),
    ]
    for columns, rows, pixels in cases:
        boxes = corners(columns, rows)
        h = homography(boxes, pixels)
        inside = [[x * columns / 4, y * rows / 4] for x in (-1, 0, 1) for y in (-1, 0, 1)]
        at = cv2.perspectiveTransform(np.float64([inside]), h.reshape(3, 3))[0]
        yield {
            "columns": columns,
            "rows": rows,
            "corners_px": pixels,
            "homography": h.tolist(),
            "boxes": inside,
            "pixels": at.tolist(),
            "sigma_px": 0.5,
            "covariance": covariance(boxes, pixels, 0.5).tolist(),
        }


def lenses():
    """Brown's formula with k1 alone: x'' = x' (1 + k1 r'^2), x' = X/Z and u = f x'' + c. With f = half the diagonal
    and c = the photo's centre, r' counts in half diagonals."""
    for width, height, k1 in [(4000, 3000, 0.1), (4000, 3000, -0.1), (1504, 2000, -0.03), (1920, 1080, 0.2), (640, 480, -0.2)]:
        f = np.hypot(width, height) / 2
        camera = np.float64([[f, 0, width / 2], [0, f, height / 2], [0, 0, 1]])
        lens = np.float64([k1, 0, 0, 0])
        ideal = np.float64([[x * width, y * height] for x in (0.02, 0.3, 0.5, 0.8, 0.98) for y in (0.02, 0.4, 0.6, 0.97)])
        rays = np.column_stack([(ideal - camera[:2, 2]) / f, np.ones(len(ideal))])
        seen = cv2.projectPoints(rays, np.zeros(3), np.zeros(3), camera, lens)[0].reshape(-1, 2)
        stop = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 500, 1e-14)
        back = cv2.undistortPointsIter(seen.reshape(-1, 1, 2), camera, lens, None, camera, stop).reshape(-1, 2)
        yield {
            "width_px": width,
            "height_px": height,
            "k1": k1,
            "ideal_px": ideal.tolist(),
            "seen_px": seen.tolist(),
            "straightened_px": back.tolist(),
        }


json.dump({"opencv": cv2.__version__, "homographies": list(homographies()), "lenses": list(lenses())}, sys.stdout, indent=1)
print()
