"""Outputs of flow lines that are published, or follow exactly from what is."""

# Equal exponential stages of rate 1, blocking after service, by stages and places between
# neighbours. 2/3, 22/39 and 4024/7817 without places: Hunt (1956), Operations Research 4, 674-683;
# the line of the stages with places: Hillier and Boling (1967), Operations Research 15, 286-303.
HILLIER_BOLING = {
    2: (0.6667, 0.7500, 0.8000, 0.8333, 0.8571, 0.8750, 0.8889),
    3: (0.5641, 0.6705, 0.7340, 0.7767, 0.8075, 0.8308, 0.8490),
    4: (0.5148, 0.6312, 0.7007, 0.7477, 0.7818, 0.8077, 0.8280),
    5: (0.4858, 0.6076, 0.6805, 0.7299),
    6: (0.4667, 0.5918, 0.6669),
}
HUNT = {
    2: (2 / 3, 3),
    3: (22 / 39, 8),
    4: (4024 / 7817, 21),
    5: (0.485798, 55),
    6: (0.466713, 144),
    7: (0.453179, 377),
    8: (0.443070, 987),
}
"""Rate and number of states (every second Fibonacci number) of lines without places."""

# Gamma times of mean 1, simulated, 60 000 units (+-0.003): by c, then by stages, for 0, 1, 3 and 5
# places. That the first few places win most of it: Conway et al. (1988), Operations Research 36,
# 229-241.
GAMMA_PLACES = (0, 1, 3, 5)
GAMMA = {
    0.1: {
        5: (0.910, 0.985, 0.995, 0.997),
        10: (0.896, 0.983, 0.994, 0.996),
        20: (0.888, 0.981, 0.993, 0.996),
    },
    0.3: {
        5: (0.766, 0.903, 0.957, 0.973),
        10: (0.733, 0.888, 0.950, 0.968),
        20: (0.715, 0.880, 0.945, 0.964),
    },
    0.5: {
        5: (0.658, 0.807, 0.899, 0.932),
        10: (0.614, 0.777, 0.882, 0.920),
        20: (0.591, 0.761, 0.872, 0.912),
    },
}
