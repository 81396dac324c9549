"""A mosaic put together from a general-purpose image library (OpenCV 4), as a yardstick for tests only.

Registration by phase correlation, then ECC on the full-resolution overlap, then robust least squares over shift and rotation of all tiles; gains by
least squares in linear light; that library's graph-cut seams at reduced size and its multi-band blender.

usage: peer.py PLAN.json FRAMES OUT [--poses truth.json] [--tolerance MM]
Writes OUT/peer.tif (16 bit RGB) and OUT/poses.json (canvas positions of each tile's corner pixels, in stored order).
"""
import argparse
import itertools
import json
import math
import os

import cv2
import numpy as np

SEAM_PIXELS = 400_000     # a tile's size for the search of seams
ECC_PIXELS = 6_000_000    # most pixels of an overlap that ECC gets at once
DOUBLED_PIXELS = 1_500_000
BANDS = 5
BLEND_WHITE = 29_000      # the blender takes 16-bit numbers with a sign and wraps round where bands overshoot


class Tile:
    """A frame standing upright, and where its centre lies on the canvas: x, y, angle in radians clockwise."""

    def __init__(self, part, canvas, path):
        stored = cv2.imread(path, cv2.IMREAD_ANYDEPTH | cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION)
        if stored is None or stored.dtype != np.uint16:
            raise SystemExit(f"{path} is no 16-bit picture")
        self.id = part["id"]
        self.turn = part.get("turnDeg", 0)
        self.stored_size = stored.shape[1], stored.shape[0]
        self.image = np.ascontiguousarray(np.rot90(stored, -(self.turn // 90)))
        self.height, self.width = self.image.shape[:2]
        self.nominal = np.array([(-part["xMm"] - canvas["left"]) * canvas["scale"] - 0.5,
                                 (-part["yMm"] - canvas["top"]) * canvas["scale"] - 0.5,
                                 math.radians(part.get("rotationDeg") or 0)])
        self.pose = self.nominal.copy()
        self.gain = np.ones(3)

    @property
    def centre(self):
        return np.array([(self.width - 1) / 2, (self.height - 1) / 2])

    def to_canvas(self, points, pose=None):
        x, y, angle = self.pose if pose is None else pose
        c, s = math.cos(angle), math.sin(angle)
        d = np.asarray(points, float) - self.centre
        return np.stack([x + c * d[..., 0] - s * d[..., 1], y + s * d[..., 0] + c * d[..., 1]], -1)

    def corners_stored(self):
        w, h = self.stored_size
        x, y, angle = self.pose
        c, s = math.cos(angle + math.radians(self.turn)), math.sin(angle + math.radians(self.turn))
        return [[x + c * dx - s * dy, y + s * dx + c * dy]
                for dx, dy in [(-(w - 1) / 2, -(h - 1) / 2), ((w - 1) / 2, -(h - 1) / 2), ((w - 1) / 2, (h - 1) / 2), (-(w - 1) / 2, (h - 1) / 2)]]


def grey(image):
    """Encoded luma as float, 0 to 1."""
    return cv2.cvtColor(image, cv2.COLOR_BGR2GRAY).astype(np.float32) / 65535


def shared(a, b):
    """The whole-pixel windows of two upright frames that show the same by their nominal poses: (ax, ay), (bx, by), width, height."""
    left = np.round(b.nominal[:2] - b.centre - (a.nominal[:2] - a.centre)).astype(int)
    ax, ay = max(left[0], 0), max(left[1], 0)
    bx, by = max(-left[0], 0), max(-left[1], 0)
    return (ax, ay), (bx, by), min(a.width - ax, b.width - bx), min(a.height - ay, b.height - by)


def clipped(a, b, shift):
    """Like shared, with b's picture moved by a whole-pixel shift."""
    (ax, ay), (bx, by), _, _ = shared(a, b)
    dx, dy = bx - ax + int(round(shift[0])), by - ay + int(round(shift[1]))
    ax, ay, bx, by = max(-dx, 0), max(-dy, 0), max(dx, 0), max(dy, 0)
    return (ax, ay), (bx, by), min(a.width - ax, b.width - bx), min(a.height - ay, b.height - by)


def cut(tile, at, w, h):
    return grey(tile.image[at[1]:at[1] + h, at[0]:at[0] + w])


def by_phase(a, b, tolerance):
    """Shift by phase correlation of what both should show, at a reduced size where that is large."""
    (ax, ay), (bx, by), w, h = shared(a, b)
    one, other = cut(a, (ax, ay), w, h), cut(b, (bx, by), w, h)
    scale = min(1, math.sqrt(1_000_000 / (w * h)))
    size = max(32, int(w * scale)), max(32, int(h * scale))
    small = [cv2.resize(p, size, interpolation=cv2.INTER_AREA) for p in (one, other)]
    window = cv2.createHanningWindow(size, cv2.CV_32F)
    (dx, dy), response = cv2.phaseCorrelate(small[0] - small[0].mean(), small[1] - small[1].mean(), window)
    shift = np.array([dx * w / size[0], dy * h / size[1]])
    if not np.all(np.abs(shift) <= 2 * tolerance + 8):
        return np.zeros(2), 0
    return shift, response


def ecc(pictures, warp, factor):
    """Refines a warp between full-size pixels on two pictures enlarged by a factor."""
    # A full-size pixel x lies at (x + 0.5) * factor - 0.5.
    half = np.full(2, factor / 2 - 0.5)
    inner = np.hstack([warp[:, :2], (factor * warp[:, 2] + half - warp[:, :2] @ half)[:, None]]).astype(np.float32)
    criteria = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 60, 1e-7)
    score, inner = cv2.findTransformECC(pictures[0], pictures[1], inner, cv2.MOTION_EUCLIDEAN, criteria, None, 3 if factor < 1 else 9 if factor == 1 else 5)
    inner = inner.astype(float)
    return score, np.hstack([inner[:, :2], ((inner[:, :2] @ half + inner[:, 2] - half) / factor)[:, None]])


def by_ecc(a, b, shift):
    """Ties between a and b: points of a's overlap, where b shows them, and a weight; None where ECC does not converge."""
    (ax, ay), (bx, by), w, h = clipped(a, b, shift)
    if min(w, h) < 48:
        return None
    # A large overlap in parts.
    parts = math.ceil(w * h / ECC_PIXELS)
    ties = []
    for part in range(parts):
        if w >= h:
            x0, x1, y0, y1 = part * w // parts, (part + 1) * w // parts, 0, h
        else:
            x0, x1, y0, y1 = 0, w, part * h // parts, (part + 1) * h // parts
        one = cut(a, (ax + x0, ay + y0), x1 - x0, y1 - y0)
        other = cut(b, (bx + x0, by + y0), x1 - x0, y1 - y0)
        warp = np.eye(2, 3, dtype=np.float32)
        # ECC resamples linearly at 1/32 px, which pulls its answer by a hundredth of a pixel: where there are few pixels to even that out, double them.
        factors = (0.25, 1, 2) if one.size < DOUBLED_PIXELS else (0.25, 1)
        score = 0
        try:
            for factor in factors:
                interpolation = cv2.INTER_AREA if factor < 1 else cv2.INTER_LANCZOS4
                scaled = [p if factor == 1 else cv2.resize(p, None, fx=factor, fy=factor, interpolation=interpolation) for p in (one, other)]
                score, warp = ecc(scaled, warp, factor)
        except cv2.error:
            continue
        if score < 0.3:
            continue
        grid = np.array([[x, y] for x in np.linspace(0, x1 - x0 - 1, 3) for y in np.linspace(0, y1 - y0 - 1, 3)])
        seen = grid @ warp[:, :2].T + warp[:, 2]
        # The spread of ECC's answer goes with the part of the picture that is not noise.
        weight = math.sqrt((x1 - x0) * (y1 - y0)) * score / math.sqrt(max(1 - score * score, 1e-6))
        ties.append((grid + [ax + x0, ay + y0], seen + [bx + x0, by + y0], weight))
    return ties or None


def register(tiles, tolerance, log):
    ties = []
    for i, j in itertools.combinations(range(len(tiles)), 2):
        _, _, w, h = shared(tiles[i], tiles[j])
        if min(w, h) < 48:
            continue
        shift, _ = by_phase(tiles[i], tiles[j], tolerance)
        found = by_ecc(tiles[i], tiles[j], shift)
        if found is None and np.any(shift):
            found = by_ecc(tiles[i], tiles[j], np.zeros(2))
        for p, q, weight in found or []:
            ties.append((i, j, p, q, weight))
    mean = np.mean([weight for *_, weight in ties]) if ties else 1
    solve(tiles, [(i, j, p, q, weight / mean) for i, j, p, q, weight in ties], log)


def solve(tiles, ties, log):
    """Gauss-Newton over x, y and angle of every tile with Huber weights for each part of an overlap; a weak pull to the plan fixes what is free."""
    n = len(tiles)
    robust = np.ones(len(ties))
    for _ in range(12):
        normal = np.zeros((3 * n, 3 * n))
        right = np.zeros(3 * n)
        residuals = []
        for k, (i, j, p, q, weight) in enumerate(ties):
            a, b = tiles[i], tiles[j]
            e = a.to_canvas(p) - b.to_canvas(q)
            residuals.append(math.sqrt((e ** 2).sum(1).mean()))
            ra, rb = a.to_canvas(p) - a.pose[:2], b.to_canvas(q) - b.pose[:2]
            for m in range(len(p)):
                jacobian = np.zeros((2, 6))
                jacobian[:, 0:2], jacobian[:, 3:5] = np.eye(2), -np.eye(2)
                jacobian[:, 2], jacobian[:, 5] = [-ra[m, 1], ra[m, 0]], [rb[m, 1], -rb[m, 0]]
                at = [3 * i, 3 * i + 1, 3 * i + 2, 3 * j, 3 * j + 1, 3 * j + 2]
                w = weight * robust[k] / len(p)
                normal[np.ix_(at, at)] += w * jacobian.T @ jacobian
                right[at] -= w * jacobian.T @ e[m]
        for i, tile in enumerate(tiles):
            pull = np.array([1e-8, 1e-8, 1e-8 * (tile.width ** 2 + tile.height ** 2) / 4])
            normal[range(3 * i, 3 * i + 3), range(3 * i, 3 * i + 3)] += pull
            right[3 * i:3 * i + 3] += pull * (tile.nominal - tile.pose)
        step = np.linalg.solve(normal, right)
        for i, tile in enumerate(tiles):
            tile.pose = tile.pose + step[3 * i:3 * i + 3]
        if residuals:
            sigma = max(1.4826 * np.median(residuals), 1e-4)
            robust = np.array([min(1, 1.345 * sigma / max(r, 1e-9)) for r in residuals])
    log["residualPx"] = residuals


def to_linear():
    code = np.arange(65536) / 65535
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


def encode(linear):
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.clip(linear, 0, None) ** (1 / 2.4) - 0.055)


def warped(tile, roi, scale=1.0, image=None, interpolation=cv2.INTER_LANCZOS4, border=cv2.BORDER_REFLECT):
    """A tile resampled onto a window of the canvas (x, y, width, height), at a reduced scale if asked for."""
    x, y, angle = tile.pose
    c, s = math.cos(angle), math.sin(angle)
    # From window pixel to tile pixel: canvas = roi + (window + 0.5) / scale - 0.5.
    inverse = np.array([[c, s], [-s, c]])
    origin = np.array([roi[0], roi[1]]) + 0.5 / scale - 0.5
    offset = inverse @ (origin - [x, y]) + tile.centre
    matrix = np.hstack([inverse / scale, offset[:, None]])
    size = int(round(roi[2] * scale)), int(round(roi[3] * scale))
    return cv2.warpAffine(tile.image if image is None else image, matrix, size, flags=interpolation | cv2.WARP_INVERSE_MAP, borderMode=border)


def even(tiles, canvas):
    """One gain for each tile and channel: least squares on the logarithm of what neighbours show at a reduced size, where neither clips."""
    linear = to_linear().astype(np.float32)
    scale = min(1, math.sqrt(100_000 / (tiles[0].width * tiles[0].height)))
    small = []
    for tile in tiles:
        roi = window(tile, canvas, whole=max(1, round(1 / scale)))
        size = max(1, round(1 / scale))
        image = cv2.blur(tile.image, (size, size)) if size > 1 else tile.image
        mask = warped(tile, roi, 1 / size, np.full((tile.height, tile.width), 255, np.uint8), cv2.INTER_NEAREST, cv2.BORDER_CONSTANT)
        mask = cv2.erode(mask, np.ones((5, 5), np.uint8), borderType=cv2.BORDER_CONSTANT, borderValue=0)
        small.append((roi[0] // size, roi[1] // size, linear[warped(tile, roi, 1 / size, image, cv2.INTER_LINEAR)], mask))
    n = len(tiles)
    for channel in range(3):
        normal, right = 1e-6 * np.eye(n), np.zeros(n)
        for i, j in itertools.combinations(range(n), 2):
            (ax, ay, a, am), (bx, by, b, bm) = small[i], small[j]
            x0, y0 = max(ax, bx), max(ay, by)
            x1, y1 = min(ax + a.shape[1], bx + b.shape[1]), min(ay + a.shape[0], by + b.shape[0])
            if x1 - x0 < 3 or y1 - y0 < 3:
                continue
            pa, pb = (p[y0 - oy:y1 - oy, x0 - ox:x1 - ox, channel] for p, ox, oy in ((a, ax, ay), (b, bx, by)))
            ok = (am[y0 - ay:y1 - ay, x0 - ax:x1 - ax] > 0) & (bm[y0 - by:y1 - by, x0 - bx:x1 - bx] > 0)
            ok &= (pa > 0.002) & (pb > 0.002) & (pa < 0.95) & (pb < 0.95)
            if ok.sum() < 50:
                continue
            ratio = np.median(np.log(pa[ok]) - np.log(pb[ok]))
            weight = ok.sum()
            normal[[i, j], [i, j]] += weight
            normal[[i, j], [j, i]] -= weight
            right[i] -= weight * ratio
            right[j] += weight * ratio
        log_gain = np.linalg.solve(normal + 1e-3 * np.ones((n, n)), right)
        for tile, value in zip(tiles, log_gain - log_gain.mean()):
            tile.gain[channel] = math.exp(value)


def window(tile, canvas, whole=1):
    """The part of the canvas that a tile touches, on a grid of whole cells."""
    points = tile.to_canvas([[0, 0], [tile.width - 1, 0], [tile.width - 1, tile.height - 1], [0, tile.height - 1]])
    low = np.maximum(np.floor(points.min(0)), 0).astype(int) // whole * whole
    high = np.minimum(np.ceil(points.max(0)) + 1, [canvas["width"], canvas["height"]]).astype(int)
    size = -(-(high - low) // whole) * whole
    return int(low[0]), int(low[1]), int(size[0]), int(size[1])


def seams(tiles, canvas):
    """Masks of the tiles, found by graph cut at a reduced size."""
    size = max(1, round(math.sqrt(tiles[0].width * tiles[0].height / SEAM_PIXELS)))
    images, corners, masks = [], [], []
    for tile in tiles:
        roi = window(tile, canvas, size)
        image = cv2.blur(tile.image, (size, size)) if size > 1 else tile.image
        lut = gain_table(tile)
        evened = np.stack([lut[c][image[..., c]] for c in range(3)], -1) if size == 1 else None
        small = warped(tile, roi, 1 / size, image if evened is None else evened, cv2.INTER_LINEAR)
        if evened is None:
            small = np.stack([lut[c][small[..., c]] for c in range(3)], -1)
        mask = warped(tile, roi, 1 / size, np.full((tile.height, tile.width), 255, np.uint8), cv2.INTER_NEAREST, cv2.BORDER_CONSTANT)
        images.append((small / 257).astype(np.float32))
        corners.append((roi[0] // size, roi[1] // size))
        masks.append(cv2.UMat(mask))
    found = cv2.detail_GraphCutSeamFinder("COST_COLOR_GRAD").find(images, corners, masks)
    return size, [m.get() if isinstance(m, cv2.UMat) else m for m in (found if found is not None else masks)]


def gain_table(tile, white=65535):
    linear = to_linear()
    return [np.round(white * encode(np.minimum(linear * tile.gain[c], 1))).astype(np.uint16) for c in range(3)]


def blend(tiles, canvas):
    size, found = seams(tiles, canvas)
    blender = cv2.detail_MultiBandBlender(0, BANDS)
    blender.prepare((0, 0, canvas["width"], canvas["height"]))
    for tile, seam in zip(tiles, found):
        roi = window(tile, canvas, size)
        roi = roi[0], roi[1], min(roi[2], canvas["width"] - roi[0]), min(roi[3], canvas["height"] - roi[1])
        lut = gain_table(tile, BLEND_WHITE)
        image = warped(tile, roi)
        for c in range(3):
            image[..., c] = lut[c][image[..., c]]
        valid = warped(tile, roi, 1, np.full((tile.height, tile.width), 255, np.uint8), cv2.INTER_NEAREST, cv2.BORDER_CONSTANT)
        full = cv2.resize(cv2.dilate(seam, None), (seam.shape[1] * size, seam.shape[0] * size), interpolation=cv2.INTER_LINEAR)[:roi[3], :roi[2]]
        mask = cv2.bitwise_and(np.where(full > 127, 255, 0).astype(np.uint8), valid)
        blender.feed(cv2.UMat(image.view(np.int16)), mask, roi[:2])
        tile.image = None
    result, _ = blender.blend(None, None)
    result = result.get() if isinstance(result, cv2.UMat) else result
    return np.clip(np.round(result * (65535 / BLEND_WHITE)), 0, 65535).astype(np.uint16)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("plan")
    parser.add_argument("frames")
    parser.add_argument("out")
    parser.add_argument("--poses")
    parser.add_argument("--tolerance", type=float, default=0.5)
    args = parser.parse_args()
    with open(args.plan, encoding="utf-8") as file:
        plan = json.load(file)
    sensor, form = plan["sensor"], plan["format"]
    scale = sensor["widthPx"] / sensor["widthMm"]
    canvas = {"scale": scale, "left": -form["widthMm"] / 2, "top": -form["heightMm"] / 2,
              "width": round(form["widthMm"] * scale), "height": round(form["heightMm"] * scale)}
    names = sorted(name for name in os.listdir(args.frames) if name.endswith(".tif"))
    tiles = [Tile(part, canvas, os.path.join(args.frames, (part.get("files") or [part.get("file") or names[i]])[0])) for i, part in enumerate(plan["tiles"])]
    log = {}
    if args.poses:
        with open(args.poses, encoding="utf-8") as file:
            for tile, true in zip(tiles, json.load(file)["tiles"]):
                tile.pose = np.array([true["xPx"], true["yPx"], math.radians(true["rotationDeg"] - tile.turn)])
    else:
        register(tiles, args.tolerance * scale, log)
    even(tiles, canvas)
    os.makedirs(args.out, exist_ok=True)
    with open(os.path.join(args.out, "poses.json"), "w", encoding="utf-8") as file:
        json.dump({"tiles": [{"id": tile.id, "cornersPx": tile.corners_stored()} for tile in tiles], **log}, file)
    cv2.imwrite(os.path.join(args.out, "peer.tif"), blend(tiles, canvas), [cv2.IMWRITE_TIFF_COMPRESSION, 1])


if __name__ == "__main__":
    main()
