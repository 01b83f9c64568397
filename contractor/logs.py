"""What must not reach a log: the secret part of a link; knows nothing else."""

import logging
import re

_LINK_SECRET = re.compile(r"(/c/|/mail/stop/|/phone/)[A-Za-z0-9_:-]{20,}")


def link_redacted(text: str) -> str:
    """Return `text` with the secret of every checklist, stop and phone address replaced by dots."""
    return _LINK_SECRET.sub(r"\1…", text)


class LinkRedaction(logging.Filter):
    """Redacts such addresses in each record, arguments included."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = link_redacted(record.getMessage()), ()
        return True
