"""What is told of a job, a program or a drawing, as values."""
