# Writes circular_reference.csv: python3 circular_reference.py > circular_reference.csv
# mean: scipy.stats.circmean and 1 - circvar of the angles. rayleigh: the chance that n random unit steps lead at least
# so far, by Kluyver's integral 1 - R int J1(R t) J0(t)^n dt, summed between the zeros of J1(R t), not by a series.
import numpy as np
import scipy
from scipy import integrate, special, stats

print(f"# scipy {scipy.__version__}, numpy {np.__version__}: mean,length,direction,angles... and rayleigh,n,length,p")
draw = np.random.default_rng(150)
for n, spread in [(1, 0), (2, 0.3), (3, 2.0), (6, 0.4), (7, 1.0), (12, 0.6), (20, 3.0), (40, 1.5)]:
    angles = draw.normal(draw.uniform(-9, 9), spread, n)
    length = 1 - stats.circvar(angles)
    direction = stats.circmean(angles, high=np.pi, low=-np.pi)
    print("mean", repr(float(length)), repr(float(direction)), *(repr(float(a)) for a in angles), sep=",")


def kluyver(n, length):
    r = n * length
    reach = 4000 if n <= 4 else 200
    edges = np.concatenate([[0], special.jn_zeros(1, max(3, int(reach * r / np.pi))) / r])
    part = lambda t: special.j1(r * t) * special.j0(t) ** n
    sums = np.cumsum([r * integrate.quad(part, a, b, epsabs=1e-13, limit=200)[0] for a, b in zip(edges, edges[1:])])
    return 1 - (sums[-1] + sums[-2]) / 2  # the partial sums swing about the limit


for n in (3, 4, 5, 6, 7, 10, 16, 20, 21, 30, 60):
    for length in (0.2, 0.4, 0.6, 0.8):
        print("rayleigh", n, length, repr(float(kluyver(n, length))), sep=",")
