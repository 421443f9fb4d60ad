"""The counting core: plots, counts, reasons and plot files, without Django."""
