"""Reads a message from standard input as a mail program would, and prints what it found as JSON."""

import json
import sys
from email import policy
from email.parser import BytesParser

message = BytesParser(policy=policy.default).parsebytes(sys.stdin.buffer.read())
parts = [
    {
        "type": part.get_content_type(),
        "charset": part.get_content_charset(),
        "encoding": part["Content-Transfer-Encoding"],
        "text": part.get_content(),
        "defects": [repr(defect) for defect in part.defects],
    }
    for part in message.walk()
    if not part.is_multipart()
]
json.dump(
    {
        "type": message.get_content_type(),
        "boundary": message.get_boundary(),
        "headers": [[name, str(value)] for name, value in message.items()],
        "defects": [repr(defect) for defect in message.defects]
        + [repr(d) for _, value in message.items() for d in getattr(value, "defects", ())],
        "parts": parts,
    },
    sys.stdout,
)
