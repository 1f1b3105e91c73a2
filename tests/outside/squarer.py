"""Edge times of x.f32, to edges.f64. Arguments: sample rate (Hz), upper and lower level (V)."""
import sys
import numpy as np
import reference

rate_hz, upper_v, lower_v = map(float, sys.argv[1:])
x = np.fromfile("x.f32", "<f4").astype(float)
reference.crossings(x, rate_hz, upper_v, lower_v).astype("<f8").tofile("edges.f64")
