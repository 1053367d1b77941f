"""Files that the window opens and writes: jobs, programs, what goes out beside a program, and the rest of one."""
