"""nbgrader's settings for the course. Run nbgrader in this folder, or give it this file.

The course's root is TRIMKIT_COURSE_ROOT when that is set, else the folder above this one.
The keys are always those beside this file.
"""

import os
from pathlib import Path

from nbgrader.preprocessors import (
    AssignLatePenalties,
    CheckCellMetadata,
    ClearHiddenTests,
    ClearMarkScheme,
    ClearOutput,
    ClearSolutions,
    ComputeChecksums,
    DeduplicateIds,
    GetGrades,
    LimitOutput,
    LockCells,
    OverwriteCells,
    OverwriteKernelspec,
    SaveAutoGrades,
    SaveCells,
)

from trimkit.classroom import cards
from trimkit.classroom.course import Course
from trimkit.classroom.feedback import FeedbackPage
from trimkit.classroom.hooks import (
    ComparePupil,
    DropStrayMarks,
    ExecuteAnswers,
    JudgeAnswers,
    StripAnswers,
    TidyAnswers,
)

here = Path(__file__).resolve().parent
root = Path(os.environ.get("TRIMKIT_COURSE_ROOT") or here.parent).resolve()
marking = root / "marking"
marking.mkdir(parents=True, exist_ok=True)

c = get_config()  # noqa: F821 (nbgrader puts it here)

c.CourseDirectory.root = str(root)
c.CourseDirectory.source_directory = "instructor/source"
c.CourseDirectory.release_directory = "course"
c.CourseDirectory.submitted_directory = "marking/submitted"
c.CourseDirectory.autograded_directory = "marking/autograded"
c.CourseDirectory.feedback_directory = "marking/feedback"
c.CourseDirectory.ignore.append(cards.FILE)  # laid out by `Course.generate`, for pupils only
course = Course(root=root, instructor=here)
c.CourseDirectory.db_url = course.gradebook
if course.on_server:  # which wants every lesson to belong to a course; nbgrader makes this one
    c.CourseDirectory.course_id = "default_course"

c.MarkingHook.class_word = os.environ.get("TRIMKIT_CLASS_WORD", "")
c.MarkingHook.keys_folder = str(here / "marking")
c.MarkingHook.report = str(marking / "report.txt")

c.ClearSolutions.code_stub = {"python": ""}
c.ClearSolutions.text_stub = "Write your sentence here."
c.GenerateAssignment.preprocessors = [
    LockCells,
    ClearSolutions,
    TidyAnswers,
    ClearOutput,
    CheckCellMetadata,
    ComputeChecksums,
    SaveCells,
    ClearHiddenTests,
    ClearMarkScheme,
    ComputeChecksums,
    CheckCellMetadata,
]
c.Autograde.sanitize_preprocessors = [
    ComparePupil,
    ClearOutput,
    DeduplicateIds,
    DropStrayMarks,
    OverwriteKernelspec,
    OverwriteCells,
    DropStrayMarks,
    CheckCellMetadata,
]
c.Autograde.autograde_preprocessors = [
    ExecuteAnswers,
    JudgeAnswers,
    LimitOutput,
    SaveAutoGrades,
    AssignLatePenalties,
    CheckCellMetadata,
]
c.ExchangeFactory.collect = "trimkit.classroom.inbound.CollectOwn"
c.GenerateFeedback.preprocessors = [GetGrades, ClearHiddenTests, StripAnswers]
c.GenerateFeedback.exporter_class = FeedbackPage
