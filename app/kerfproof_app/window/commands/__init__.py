"""What the window is asked to do: its menus, the menu on the plate, tabs by hand, the way out of a refusal."""
