"""``python -m labelkit`` is the ``labelkit`` command."""

from labelkit.cli import main

main()
