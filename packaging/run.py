"""Set up smokejournal's private environment if needed, then start the program.

    python3 packaging/run.py [what the program understands, such as --demo]

Needs Python 3.11 or newer and the package registries; touches nothing outside this folder.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036 - an older Python shall read the sentence below
    sys.exit(
        "smokejournal needs Python 3.11 or newer, and this is %d.%d. "  # noqa: UP031
        "Start it with a newer one, for example: python3.11 packaging/run.py"
        % tuple(sys.version_info[:2])
    )

import setup_env


def main():
    with setup_env.problems_told():
        setup_env.need_qt_libraries(window=True)
        environment = setup_env.environment("run")
        setup_env.say("Starting smokejournal.")
        environment.become("-m", "smokejournal", *sys.argv[1:])


if __name__ == "__main__":
    main()
