"""The work that is open: jobs and programs, their history, planning and proving them. No Qt."""
