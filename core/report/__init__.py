"""The report: everything about a plan as files in a folder, without a window."""

from core.report.combinations import ReportedCombination, reported_combinations
from core.report.summary import summary
from core.report.write import Engine, Paper, Picture, ReportError, write_report

__all__ = [
    "Engine",
    "Paper",
    "Picture",
    "ReportError",
    "ReportedCombination",
    "reported_combinations",
    "summary",
    "write_report",
]
