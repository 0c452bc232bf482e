"""Lines of lettering: which regions are letters, how tall they are and how heavy, whatever way the line runs."""
