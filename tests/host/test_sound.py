"""Sounds are made, players are tried in turn, and what cannot be heard is told once."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np
import pytest

from smokejournal.host.sound import CommandSound, sound_player
from smokejournal.host.tones import RATE_HZ, samples, write_wav
from tests.support.fake_programs import Launches


@pytest.mark.parametrize(("sound", "pitch_hz"), [("chime", 587.3), ("insistent", 1175.0)])
def test_a_sound_has_its_pitch_and_does_not_clip(sound, pitch_hz):
    tone = samples(sound).astype(float)
    assert 0.8 * 32767 < np.max(np.abs(tone)) < 32767
    piece = tone[: int(0.15 * RATE_HZ)]
    spectrum = np.abs(np.fft.rfft(piece * np.hanning(piece.size)))
    found_hz = np.fft.rfftfreq(piece.size, 1 / RATE_HZ)[np.argmax(spectrum)]
    assert found_hz == pytest.approx(pitch_hz, abs=10)


def test_loudness_scales():
    assert np.max(samples("chime", 0.5)) == pytest.approx(np.max(samples("chime")) / 2, rel=0.01)


def test_the_file_is_a_plain_wav(tmp_path: Path):
    write_wav(tmp_path / "a.wav", "chime")
    with wave.open(str(tmp_path / "a.wav")) as read:
        assert (read.getnchannels(), read.getsampwidth(), read.getframerate()) == (1, 2, RATE_HZ)
        assert 1.0 < read.getnframes() / RATE_HZ < 2.5


def test_play_starts_the_first_player_with_a_file_that_is_there():
    start = Launches()
    player = CommandSound([("good", "-q"), ("other",)], start)
    assert player.play("chime")
    command = start.children[0].command
    assert command[:2] == ("good", "-q")
    assert Path(command[2]).is_file()
    assert player.take_problem() == ""


def test_each_loudness_is_played_as_it_was_asked_for():
    start = Launches()
    player = CommandSound([("good",)], start)
    for n, loudness in enumerate(wanted := (0.4, 0.55, 0.7, 0.85, 1.0)):
        player.play("insistent", loudness)
        with wave.open(start.children[n].command[1]) as read:
            tone = np.frombuffer(read.readframes(read.getnframes()), "<i2")
        full = np.max(np.abs(samples("insistent").astype(float)))
        assert np.max(np.abs(tone.astype(float))) / full == pytest.approx(wanted[n], abs=1e-3)


def test_a_new_sound_takes_the_place_of_the_old_and_stop_is_silent():
    start = Launches()
    player = CommandSound([("good",)], start)
    player.play("chime")
    player.play("insistent")
    assert start.children[0].terminated
    player.stop()
    assert start.children[1].terminated
    assert player.take_problem() == ""


def test_a_player_that_cannot_be_started_or_fails_is_left_out():
    start = Launches(missing=("gone",))
    player = CommandSound([("gone",), ("silent",), ("good",)], start)
    assert player.play("chime")
    start.children[0].code = 1
    assert player.play("chime")
    assert start.children[1].command[0] == "good"
    assert player.take_problem() == ""


def test_no_player_is_told_once():
    player = CommandSound([], Launches())
    assert not player.play("chime")
    assert "cannot play" in player.take_problem()
    assert not player.play("chime")
    assert player.take_problem() == ""


def test_the_last_player_failing_is_told_without_another_play():
    start = Launches()
    player = CommandSound([("silent",)], start)
    player.play("chime")
    start.children[0].code = 1
    assert "cannot play" in player.take_problem()


def test_this_machine_gets_some_player_and_none_of_it_raises():
    player = sound_player()
    player.stop()
    assert player.take_problem() == ""
