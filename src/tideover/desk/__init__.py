"""Books and science brought together: one answer per hive, kept until something changes.

``land`` makes a yard's past and futures from the books; ``desk`` keeps what was worked out
and answers; ``showing`` turns answers into the plain ``views`` that pages, sheets and commands
show; ``truth`` holds an invented season's answers against its truth.

May import everything but ``checks``, ``demo``, ``paper``, ``web`` and ``cli``. Start reading at ``desk``.
"""

from tideover.desk.desk import Desk, open_desk
from tideover.desk.truth import truth_report

__all__ = ["Desk", "open_desk", "truth_report"]
