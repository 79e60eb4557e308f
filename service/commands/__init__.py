"""What can be done from a command line, each command in the file of its kind."""

from service.commands.opening import NotStarted
from service.commands.parser import main

__all__ = ["NotStarted", "main"]
