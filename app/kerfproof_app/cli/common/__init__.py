"""What several commands share: options, the job from words, progress, what is printed."""
