"""The long form of what the tests of faults try briefly, run by hand: `python -m tests.trust`."""
