"""Write the guide's list of rules from the pages in their files."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

TARGET = Path(__file__).resolve().parent.parent / "resources" / "kerfproof_resources" / "guide" / "rules.md"


def main() -> int:
    """Write the guide's page; say whether it changed."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    from kerfproof.report.data.rule_pages import guide

    text = guide()
    before = TARGET.read_text(encoding="utf-8") if TARGET.exists() else ""
    TARGET.parent.mkdir(parents=True, exist_ok=True)
    TARGET.write_text(text, encoding="utf-8", newline="\n")
    print(f"{TARGET.name}: {'unchanged' if text == before else 'written'}, {text.count('### ')} pages")
    return 0


if __name__ == "__main__":
    sys.exit(main())
