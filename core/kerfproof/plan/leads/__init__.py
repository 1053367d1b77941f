"""Where a cut is pierced and how it leads in and out."""
