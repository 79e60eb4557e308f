"""Hands one mail over and is killed before it can note that.

python -m tests.post.killed_sender STORE PORT
"""

import os
import signal
import sys

from service.post import Post, deliver, delivery
from service.settings import MailServer
from service.storage import open_database
from tests.post.offices import SETTINGS


def main(url: str, port: int) -> None:
    vars(delivery)["mail_sent"] = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
    deliver(Post(SETTINGS, open_database(url), MailServer("smtp-plain", "localhost", port)))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
