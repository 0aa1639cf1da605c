"""The command `cutopt`: files in, files out, and an exit status that can be relied on."""

from cutopt.command.entry import main as main
