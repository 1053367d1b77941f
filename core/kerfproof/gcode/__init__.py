"""The program as text: the language, what a control does with it, how one is written."""
