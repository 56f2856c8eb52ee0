"""Is the process steady, is the gauge fit, is the lot good: charts, capability, gauge study, sampling."""
