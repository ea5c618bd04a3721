"""Half order over firing order of narrow lobes, one of them weaker: numpy's discrete Fourier transform."""

import numpy as np

print("# One cycle of n Gaussian lobes (standard deviation 1/200 of the cycle), the second weaker by the share e; amplitude of order 1 "
      "over order n by numpy 2.4.6 fft over 20000 samples. Impulses would give (e/n)/(1-e/n).")
print("cylinders,share,half_order_over_firing_order,impulse_model")
for n in (3, 4, 6, 8):
    for e in (0.1, 0.25, 0.5, 1.0):
        t = np.arange(20000) / 20000
        v = np.zeros_like(t)
        for lobe in range(n):
            away = (t - (lobe + 0.5) / n + 0.5) % 1 - 0.5
            v += (1 - (e if lobe == 1 else 0)) * np.exp(-0.5 * (away / 0.005) ** 2)
        size = np.abs(np.fft.rfft(v))
        print(f"{n},{e},{size[1] / size[n]:.6f},{(e / n) / (1 - e / n):.6f}")
