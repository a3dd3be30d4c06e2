"""What is within 200 m of each of 100 000 pegs among a million hazards, in Python.

The same work as place.rs beside this file, on the same invented places, with
the same counts on the WGS84 ellipsoid, in one thread, written in the ways a
careful user of numpy, scipy, shapely and pyproj would:

  lon/lat + pyproj   shapely STRtree of longitudes and latitudes, asked for boxes,
                     then the geodesic to every candidate
  lon/lat + plane    the same boxes, then the radii of curvature at the middle
                     latitude, and the geodesic only for candidates near 200 m
  projected dwithin  shapely STRtree of UTM coordinates, `dwithin` with the radius
                     times the scale at the peg, the geodesic near 200 m
  earth-centred      scipy cKDTree of earth-centred coordinates, `query_ball_point`
                     with the chord of 200 m
  grid               no library's index: places sorted by cells of longitude and
                     latitude as wide as the radius, in numpy; for one country, not
                     for the antimeridian

Each is asked with the pegs as they come and in an order in which neighbours
follow one another (the ordering included).

    python -m pip install numpy scipy shapely pyproj
    python tests/bench/place_python.py [runs]

Prints the median of wall and of CPU time of each, and the counts.
"""

import os

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"
for name in ("OPENBLAS_CORETYPE", "OPENBLAS_L2_SIZE"):
    os.environ.pop(name, None)

import statistics
import sys
import time

import numpy as np
import pyproj
import scipy
import shapely
from scipy.spatial import cKDTree

HAZARDS, PEGS, CLUSTERS, RADIUS_M = 1_000_000, 100_000, 2_000, 200.0
A_M, F = 6_378_137.0, 1 / 298.257223563
E2 = F * (2 - F)
GEOD = pyproj.Geod(ellps="WGS84")
# Around the radius, in metres: a plane approximation there is checked exactly.
DOUBT_M = 0.5


def draw(stream, i):
    with np.errstate(over="ignore"):
        z = (np.uint64(stream << 40) + np.asarray(i, dtype=np.uint64) + np.uint64(1)) * np.uint64(0x9E3779B97F4A7C15)
        z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return ((z ^ (z >> np.uint64(31))) >> np.uint64(11)).astype(np.float64) / float(1 << 53)


def places(stream, count):
    i = np.arange(count, dtype=np.uint64)

    def u(k):
        return draw(stream, 8 * i + np.uint64(k))

    def bell(k):
        return u(k) + u(k + 1) + u(k + 2) - 1.5

    cluster = (u(0) * float(CLUSTERS)).astype(np.uint64)
    anywhere = i % 2 == 0
    x = np.where(anywhere, u(0), draw(9, 2 * cluster) + 0.0025 * bell(1))
    y = np.where(anywhere, u(1), draw(9, 2 * cluster + np.uint64(1)) + 0.0025 * bell(4))
    return 33.0 + 2.0 * x, -16.0 + 2.0 * y


def earth_centred(lon, lat):
    lon, lat = np.radians(lon), np.radians(lat)
    n = A_M / np.sqrt(1 - E2 * np.sin(lat) ** 2)
    return np.column_stack((n * np.cos(lat) * np.cos(lon), n * np.cos(lat) * np.sin(lon), n * (1 - E2) * np.sin(lat)))


def radii(lat):
    """Of curvature along the meridian and across it, per degree, and of the parallel."""
    w2 = 1 - E2 * np.sin(np.radians(lat)) ** 2
    n = A_M / np.sqrt(w2)
    return np.radians(n * (1 - E2) / w2), np.radians(n * np.cos(np.radians(lat)))


class LonLat:
    """Boxes of longitude and latitude around each peg."""

    def __init__(self, hazards):
        self.lon, self.lat = hazards
        self.tree = shapely.STRtree(shapely.points(self.lon, self.lat))

    def candidates(self, lon, lat):
        per_lat, per_lon = radii(lat)
        dlat, dlon = 1.001 * RADIUS_M / per_lat, 1.001 * RADIUS_M / per_lon
        return self.tree.query(shapely.box(lon - dlon, lat - dlat, lon + dlon, lat + dlat))


class LonLatGeod(LonLat):
    def counts(self, lon, lat):
        peg, hazard = self.candidates(lon, lat)
        _, _, d = GEOD.inv(lon[peg], lat[peg], self.lon[hazard], self.lat[hazard])
        return np.bincount(peg[d <= RADIUS_M], minlength=len(lon))


def decide(pegs, hazards, peg, hazard, d):
    """Within the radius by `d`, and by the geodesic where that is in doubt."""
    within = d <= RADIUS_M
    doubt = np.flatnonzero(np.abs(d - RADIUS_M) < DOUBT_M)
    p, h = peg[doubt], hazard[doubt]
    _, _, exact = GEOD.inv(pegs[0][p], pegs[1][p], hazards[0][h], hazards[1][h])
    within[doubt] = exact <= RADIUS_M
    return np.bincount(peg[within], minlength=len(pegs[0]))


class LonLatPlane(LonLat):
    def counts(self, lon, lat):
        peg, hazard = self.candidates(lon, lat)
        per_lat, per_lon = radii(lat)
        x = (self.lon[hazard] - lon[peg]) * per_lon[peg]
        y = (self.lat[hazard] - lat[peg]) * per_lat[peg]
        return decide((lon, lat), (self.lon, self.lat), peg, hazard, np.hypot(x, y))


class Projected:
    """UTM zone 36 south holds all the places."""

    def __init__(self, hazards):
        self.hazards = hazards
        self.to_utm = pyproj.Transformer.from_crs("EPSG:4326", "EPSG:32736", always_xy=True)
        self.factors = pyproj.Proj("EPSG:32736").get_factors
        self.x, self.y = self.to_utm.transform(*hazards)
        self.tree = shapely.STRtree(shapely.points(self.x, self.y))

    def counts(self, lon, lat):
        x, y = self.to_utm.transform(lon, lat)
        # The scale of the transverse Mercator grows with the square of the way
        # from the central meridian.
        scale = 0.9996 * (1 + (x - 500_000.0) ** 2 / (2 * (0.9996 * 6_367_000.0) ** 2))
        reach = (RADIUS_M + DOUBT_M) * scale
        peg, hazard = self.tree.query(shapely.points(x, y), predicate="dwithin", distance=reach)
        d = np.hypot(self.x[hazard] - x[peg], self.y[hazard] - y[peg]) / scale[peg]
        return decide((lon, lat), self.hazards, peg, hazard, d)


class EarthCentred:
    def __init__(self, hazards, **how):
        self.tree = cKDTree(earth_centred(*hazards), **how)

    def counts(self, lon, lat):
        # The chord is shorter than 200 m by 0.000 008 mm.
        chord = RADIUS_M - RADIUS_M**3 / (24 * 6_367_000.0**2)
        return self.tree.query_ball_point(earth_centred(lon, lat), chord, return_length=True, workers=1)


class Grid:
    """Cells of 0.0025 degrees, about 270 m, row by row."""

    CELL, WEST, SOUTH, ROW = 0.0025, 32.9, -16.1, 1_000

    def __init__(self, hazards):
        lon, lat = hazards
        cell = self.row(lat) * self.ROW + self.column(lon)
        order = np.argsort(cell, kind="stable")
        self.start = np.searchsorted(cell[order], np.arange(self.ROW**2 + 1))
        self.lon, self.lat = lon[order], lat[order]

    def column(self, lon):
        return np.floor((lon - self.WEST) / self.CELL).astype(np.int64)

    def row(self, lat):
        return np.floor((lat - self.SOUTH) / self.CELL).astype(np.int64)

    def counts(self, lon, lat):
        per_lat, per_lon = radii(lat)
        dlat, dlon = 1.001 * RADIUS_M / per_lat, 1.001 * RADIUS_M / per_lon
        west, east = self.column(lon - dlon), self.column(lon + dlon)
        south, north = self.row(lat - dlat), self.row(lat + dlat)
        counts = np.zeros(len(lon), dtype=np.int64)
        for row in range(int((north - south).max()) + 1):
            at = (south + row) * self.ROW
            first = self.start[at + west]
            last = np.where(south + row <= north, self.start[at + east + 1], first)
            many = last - first
            peg = np.repeat(np.arange(len(lon)), many)
            hazard = np.arange(len(peg)) + np.repeat(first - (np.cumsum(many) - many), many)
            x = (self.lon[hazard] - lon[peg]) * per_lon[peg]
            y = (self.lat[hazard] - lat[peg]) * per_lat[peg]
            # No square roots where squares will do.
            d2 = x * x + y * y
            within = d2 <= RADIUS_M**2
            doubt = np.flatnonzero(np.abs(d2 - RADIUS_M**2) < 2 * RADIUS_M * DOUBT_M)
            p, h = peg[doubt], hazard[doubt]
            _, _, exact = GEOD.inv(lon[p], lat[p], self.lon[h], self.lat[h])
            within[doubt] = exact <= RADIUS_M
            counts += np.bincount(peg[within], minlength=len(lon))
        return counts


WAYS = {
    "lon/lat + pyproj": LonLatGeod,
    "lon/lat + plane": LonLatPlane,
    "projected dwithin": Projected,
    "earth-centred": EarthCentred,
    "earth-centred, unbalanced": lambda hazards: EarthCentred(hazards, leafsize=32, balanced_tree=False),
    "grid": Grid,
}


def along(lon, lat):
    """Where places are along a curve through the square (Morton's order)."""

    def spread(v):
        v = (v * 65535).astype(np.uint64)
        for shift, mask in ((8, 0x00FF00FF), (4, 0x0F0F0F0F), (2, 0x33333333), (1, 0x55555555)):
            v = (v | (v << np.uint64(shift))) & np.uint64(mask)
        return v

    return spread((lon - 33.0) / 2.0) | (spread((lat + 16.0) / 2.0) << np.uint64(1))


def ordered(index, lon, lat):
    order = np.argsort(along(lon, lat))
    counts = np.empty(len(lon), dtype=np.int64)
    counts[order] = index.counts(lon[order], lat[order])
    return counts


def timed(work):
    wall, cpu = time.perf_counter(), time.process_time()
    result = work()
    return result, time.perf_counter() - wall, time.process_time() - cpu


def median(times):
    return " / ".join(f"{1e3 * statistics.median(t):6.0f}" for t in zip(*times))


def main():
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    print(f"numpy {np.__version__}, scipy {scipy.__version__}, shapely {shapely.__version__}, pyproj {pyproj.__version__}")
    print(f"milliseconds, wall / CPU, median of {runs}")
    print(f"{'':26}{'build':>16}{'within':>18}{'within, ordered':>18}{'hits':>10}")
    hazards, pegs = places(1, HAZARDS), places(2, PEGS)
    for name, way in WAYS.items():
        times = [[], [], []]
        for _ in range(runs):
            index, *build = timed(lambda: way(hazards))
            counts, *ask = timed(lambda: index.counts(*pegs))
            again, *ask_ordered = timed(lambda: ordered(index, *pegs))
            assert (counts == again).all()
            for all_times, new in zip(times, (build, ask, ask_ordered)):
                all_times.append(new)
        print(f"{name:26}" + "".join(f"{median(t):>18}" for t in times) + f"{int(counts.sum()):>10}", flush=True)


if __name__ == "__main__":
    main()
