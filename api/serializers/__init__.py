"""What goes in and out, one file per noun. Inputs name every key they take and refuse all others."""
