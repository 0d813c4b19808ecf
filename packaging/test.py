"""Set up smokejournal's test environment if needed, then run everything that checks the project.

    python3 packaging/test.py [what pytest understands, such as tests/cook -x]

Runs ruff, mypy, import-linter and pytest in turn, each also after one before it failed, and ends
with an error if any of them did. Needs Python 3.11 or newer and the package registries.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036 - an older Python shall read the sentence below
    sys.exit(
        "smokejournal needs Python 3.11 or newer, and this is %d.%d. "  # noqa: UP031
        "Start it with a newer one, for example: python3.11 packaging/test.py"
        % tuple(sys.version_info[:2])
    )

import time

import setup_env

CHECKS = (
    ("ruff check", "-m", "ruff", "check", "."),
    ("ruff format", "-m", "ruff", "format", "--check", "."),
    ("mypy", "-m", "mypy"),
    ("import-linter", "-c", "from importlinter.cli import lint_imports_command as c; c()"),
)
#: All tests at once take the machine's cores, each file in one process and in order.
WHOLE = ("-n", "auto", "--maxprocesses", "4", "--dist", "loadfile")


def main(pytest_arguments):
    with setup_env.problems_told():
        setup_env.need_qt_libraries(window=False)
        environment = setup_env.environment("test")
        told = []
        failed = []
        for name, *command in CHECKS:
            started_s = time.monotonic()
            heading(name)
            code = environment.call(*command)
            outcome = "passed" if code == 0 else f"FAILED (exit code {code})"
            told.append(f"{name}: {outcome} in {time.monotonic() - started_s:.1f} s")
            print(told[-1], flush=True)
            if code != 0:
                failed.append(name)
        heading("pytest")
        # tests/conftest.py prints these lines again above pytest's closing line, so that a failure
        # of an earlier check is not lost above a long list of tests.
        code = environment.call(
            "-m",
            "pytest",
            *(pytest_arguments or WHOLE),
            variables={"SMOKEJOURNAL_CHECKS": "\n".join(told)},
        )
        if code < 0:
            print(f"pytest was ended by signal {-code}, so not every test ran.", flush=True)
        return 1 if failed or code != 0 else 0


def heading(name):
    print(f"\n=== {name}", flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
