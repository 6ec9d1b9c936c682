"""Drawings of problems and of what a class wrote: SVG made from values alone, with the same said in words."""

from grader.reports.drawing.answers import Answer, answer_from
from grader.reports.drawing.clusters import Cluster, cluster_picture, clusters_of, left_out
from grader.reports.drawing.png import can_draw_png, png_of
from grader.reports.drawing.sheet import Picture
from grader.reports.drawing.theme import Theme, stylesheet
from grader.reports.drawing.vectors import problem_picture

__all__ = [
    "Answer",
    "Cluster",
    "Picture",
    "Theme",
    "answer_from",
    "can_draw_png",
    "cluster_picture",
    "clusters_of",
    "left_out",
    "png_of",
    "problem_picture",
    "stylesheet",
]
