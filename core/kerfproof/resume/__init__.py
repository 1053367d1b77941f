"""Going on with a program that stopped: what it cut already, and a program for the rest."""
