# Writes sticker_reference.csv: python3 sticker_reference.py > sticker_reference.csv
# Stickers drawn here by sampling each pixel 24 x 24 times through a Gaussian lens, with noise, in whole grey levels; and
# where scipy.optimize.least_squares puts the centre of src/sticker/sticker_model.h's formula, written anew with
# scipy.special.erf and numerical derivatives, every pixel with the same weight, no priors.
import numpy as np
import scipy
from scipy import ndimage, optimize, special

SIZE, FINE = 64, 24


def drawn(centre, radius, share, squeeze, draw):
    at = (np.arange(SIZE * FINE) + 0.5) / FINE - 0.5
    x, y = np.meshgrid(at, at)
    r = np.hypot((x - centre[0]) / squeeze, y - centre[1])
    grey = np.where(r <= share * radius, 225.0, np.where(r <= radius, 35.0, 118 + 0.3 * (x - 32) - 0.2 * (y - 32)))
    grey = ndimage.gaussian_filter(grey, 0.6 * FINE).reshape(SIZE, FINE, SIZE, FINE).mean(axis=(1, 3))
    return np.clip(np.rint(grey + draw.normal(0, 4, grey.shape)), 0, 255)


def model(p, x, y):
    cx, cy, log_r, stretch, shear, log_soft, share, disc, ring, base, slope_x, slope_y = p
    dx, dy, big, soft = x - cx, y - cy, np.exp(log_r), np.exp(log_soft)
    r = np.hypot((1 + stretch) * dx + shear * dy, shear * dx + (1 - stretch) * dy)
    outer = (1 + special.erf((big - r) / soft)) / 2
    inner = (1 + special.erf((share * big - r) / soft)) / 2
    return base + (slope_x * dx + slope_y * dy) / big * (1 - outer) + ring * outer + disc * inner


print(f"# scipy {scipy.__version__}, numpy {np.__version__}: true x, y, radius, share, scipy's x, y, pixels row by row")
draw = np.random.default_rng(18)
for radius, share, squeeze in [(5, 0.6, 1), (7, 0.65, 0.9), (10, 0.66, 1), (10, 0.7, 0.75), (14, 0.66, 1), (18, 0.66, 0.85)]:
    centre = 31.5 + draw.uniform(-0.9, 0.9, 2)
    picture = drawn(centre, radius, share, squeeze, draw)
    y, x = np.mgrid[0:SIZE, 0:SIZE]
    near = np.hypot(x - centre[0], y - centre[1]) < radius + 5
    start = [31.5, 31.5, np.log(radius), 0, 0, 0, share, 190, -80, 118, 0, 0]
    fit = optimize.least_squares(lambda p: (model(p, x, y) - picture)[near], start, x_scale="jac", xtol=1e-12, ftol=1e-12)
    print(*(repr(float(v)) for v in (*centre, radius, share, *fit.x[:2])), *(int(v) for v in picture.ravel()), sep=",")
