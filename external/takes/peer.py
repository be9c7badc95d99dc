"""What a recording says, worked out again with NumPy and SciPy.

  peer.py BOARD.wav STRAIGHT.wav    prints JSON: {"change": {hertz: dB}, "noise", "noise_a", "orders": {order: dB}, "windows"}
  peer.py --time BOARD.wav          prints how many seconds its first channel takes: response, noise and orders

The sweep is made here from its formula and found in each recording by the correlation of the whole with it; the response is a
quotient of spectra, gated in time and evaluated at each frequency alone. Noise goes through SciPy's Welch estimate, weighted
by the poles and zeros of the A-weighting as an analogue filter. Orders of distortion are gated at their own times.
"""

import json
import sys
import time

import numpy
from scipy import signal
from scipy.io import wavfile

FROM, TO, GROWTH = 10.0, 21000.0, 1.3
LONG = GROWTH * numpy.log(TO / FROM)
SWEEP, TONE, SILENCE, LAST = 2.5, 13.5, 17.25, 22.0
HERTZ = [20.0, 25, 31.5, 40, 63, 100, 160, 250, 400, 630, 1000, 1600, 2500, 4000, 5000, 6300, 8000, 10000, 12500, 16000,
         19000]


def sweep(rate):
    t = numpy.arange(int(LONG * rate)) / rate
    values = 0.5 * numpy.sin(2 * numpy.pi * FROM * GROWTH * (numpy.exp(t / GROWTH) - 1))
    rise, fall = GROWTH * numpy.log(1.4), LONG - GROWTH * numpy.log(20400.0 / FROM)
    shape = numpy.ones_like(t)
    shape[t < rise] = 0.5 - 0.5 * numpy.cos(numpy.pi * t[t < rise] / rise)
    late = LONG - t < fall
    shape[late] *= 0.5 - 0.5 * numpy.cos(numpy.pi * (LONG - t[late]) / fall)
    return values * shape


def opened(path):
    rate, data = wavfile.read(path)
    if data.ndim > 1:
        data = data[:, 0]
    full = 1.0 if data.dtype.kind == "f" else float(2 ** (8 * data.dtype.itemsize - 1))
    return rate, data.astype(float) / full


class Take:
    def __init__(self, path):
        self.rate, self.data = opened(path)
        played = sweep(self.rate)
        found = signal.correlate(self.data, played, mode="valid", method="fft")
        self.at = int(numpy.argmax(numpy.abs(found)))
        size = len(played) + int(0.7 * self.rate)
        piece = self.data[self.at:self.at + size]
        top, under = numpy.fft.rfft(piece, size), numpy.fft.rfft(played, size)
        f = numpy.fft.rfftfreq(size, 1 / self.rate)
        inside = (f > 9.0) & (f < 21200.0)
        ratio = numpy.zeros_like(top)
        power = numpy.abs(under) ** 2
        ratio[inside] = top[inside] * numpy.conj(under[inside]) / (power[inside] + 1e-9 * power.max())
        self.impulse = numpy.fft.irfft(ratio, size)

    def gated(self, seconds, before, after):
        """A piece of the impulse response about a time, soft at both ends, with its times."""
        n = numpy.arange(int((seconds - before) * self.rate), int((seconds + after) * self.rate))
        shape = signal.windows.tukey(len(n), 0.5)
        return n / self.rate, self.impulse[n % len(self.impulse)] * shape

    def level(self, seconds, hertz, before, after):
        """The level at a frequency alone, as the integral has it, over a 24th of an octave in seven steps."""
        t, values = self.gated(seconds, before, after)
        total = 0.0
        for step in range(-3, 4):
            f = hertz * 2 ** (step / 168)
            total += abs(numpy.sum(values * numpy.exp(-2j * numpy.pi * f * t))) ** 2
        return 10 * numpy.log10(total / 7)

    def noise(self):
        start = self.at - SWEEP * self.rate
        part = self.data[int(start + (SILENCE + 0.4) * self.rate):int(start + (LAST - 0.3) * self.rate)]
        f, density = signal.welch(part, self.rate, "blackmanharris", nperseg=int(self.rate / 2))
        band = (f >= 20) & (f <= 20000)
        poles = 2 * numpy.pi * numpy.array([20.598997, 20.598997, 107.65265, 737.86223, 12194.217, 12194.217])
        _, weight = signal.freqs_zpk([0, 0, 0, 0], -poles, 1.0, 2 * numpy.pi * f)
        _, unity = signal.freqs_zpk([0, 0, 0, 0], -poles, 1.0, [2 * numpy.pi * 1000])
        weight = numpy.abs(weight / unity[0]) ** 2
        wide = f[1] - f[0]
        power = numpy.sum(density[band]) * wide, numpy.sum((density * weight)[band]) * wide
        return [10 * numpy.log10(2 * value) for value in power]


def windows(size):
    out = {}
    for name in ["hann", "blackmanharris"]:
        values = signal.windows.get_window(name, size)
        out[name] = [numpy.mean(values), size * numpy.sum(values ** 2) / numpy.sum(values) ** 2]
    return out


def timed(path):
    began = time.perf_counter()
    board = Take(path)
    for f in HERTZ:
        board.level(0, f, 0.3, 0.4)
    for n in (2, 3, 4):
        board.level(-GROWTH * numpy.log(n), n * 1000.0, 0.05, 0.1)
    board.noise()
    print(json.dumps(time.perf_counter() - began))


def main():
    if sys.argv[1] == "--time":
        timed(sys.argv[2])
        return
    board, straight = Take(sys.argv[1]), Take(sys.argv[2])
    change = {f"{f:g}": board.level(0, f, 0.3, 0.4) - straight.level(0, f, 0.3, 0.4) for f in HERTZ}
    first = board.level(0, 1000.0, 0.3, 0.4)
    orders = {str(n): board.level(-GROWTH * numpy.log(n), n * 1000.0, 0.05, 0.1) - first for n in (2, 3, 4)}
    (flat, weighted), (flat_own, weighted_own) = board.noise(), straight.noise()
    answer = {"change": change, "orders": orders, "noise": flat, "noise_a": weighted, "noise_over": flat - flat_own,
              "noise_a_over": weighted - weighted_own, "windows": windows(4096)}
    print(json.dumps(answer))


main()
