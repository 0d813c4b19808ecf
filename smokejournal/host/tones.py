"""The two sounds of the program, made of sines: a chime that calls and a tone that insists."""

from __future__ import annotations

import wave
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Sound = Literal["chime", "insistent"]
RATE_HZ = 44_100
#: Just below full scale, so that no player has to clip.
_PEAK = 0.9


def samples(sound: Sound, loudness: float = 1.0) -> NDArray[np.int16]:
    """16-bit mono samples at `RATE_HZ`; `loudness` above 0 up to 1."""
    tone = _chime() if sound == "chime" else _insistent()
    scaled = tone / np.max(np.abs(tone)) * _PEAK * min(max(loudness, 0.0), 1.0)
    return np.asarray(scaled * 32767.0, dtype=np.int16)


def write_wav(path: Path, sound: Sound, loudness: float = 1.0) -> None:
    """Write the sound as a WAV file. Raises OSError where that cannot be done."""
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE_HZ)
        out.writeframes(samples(sound, loudness).astype("<i2").tobytes())


def _struck(frequency_hz: float, length_s: float, fade_s: float) -> NDArray[np.float64]:
    """One note as of a struck bar: partials that fade, the higher the sooner."""
    t = np.arange(int(length_s * RATE_HZ)) / RATE_HZ
    note = np.zeros_like(t)
    for ratio, weight in ((1.0, 1.0), (2.76, 0.35), (5.4, 0.12)):
        note += weight * np.sin(2 * np.pi * frequency_hz * ratio * t) * np.exp(-t * ratio / fade_s)
    attack = np.minimum(1.0, t / 0.004)
    release = np.minimum(1.0, (length_s - t) / 0.02)
    return np.asarray(note * attack * release)


def _chime() -> NDArray[np.float64]:
    out = np.zeros(int(1.6 * RATE_HZ))
    for start_s, frequency_hz in ((0.0, 587.3), (0.28, 880.0)):
        note = _struck(frequency_hz, 1.3, 0.45)
        start = int(start_s * RATE_HZ)
        out[start : start + note.size] += note
    return out


def _insistent() -> NDArray[np.float64]:
    # Around 1 to 3 kHz a laptop's speaker is loudest and the ear keenest; two pitches in turn are
    # told apart from the hum of a fan.
    out = np.zeros(int(2.0 * RATE_HZ))
    for n in range(6):
        t = np.arange(int(0.16 * RATE_HZ)) / RATE_HZ
        frequency_hz = 1175.0 if n % 2 == 0 else 1568.0
        beep = np.sin(2 * np.pi * frequency_hz * t) + 0.4 * np.sin(4 * np.pi * frequency_hz * t)
        edge = np.minimum(1.0, np.minimum(t, 0.16 - t) / 0.008)
        start = int((0.2 * n + (0.25 if n >= 3 else 0.0)) * RATE_HZ)
        out[start : start + beep.size] += beep * edge
    return out
