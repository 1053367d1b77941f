"""A folder of drawings at once: found, planned in several processes, written below another folder, reported."""
