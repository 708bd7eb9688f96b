"""What can go wrong with a request: each error carries its facts and says them in one sentence."""


class LayoutError(Exception):
    """A request that can't be met.

    Parameters
    ----------
    where : str
        The file, option or field that is wrong, as the user knows it: ``"--wall"``, ``"bracket.dxf"``.
    problem : str
        What is wrong with it, in plain words, no full stop.
    remedy : str
        What the user can do about it, in the imperative, no full stop.
    """

    def __init__(self, where: str, problem: str, remedy: str) -> None:
        super().__init__(f"{where}: {problem}; {remedy}.")
        self.where = where
        self.problem = problem
        self.remedy = remedy

    def __str__(self) -> str:
        # KeyError and OSError would word it their own way
        return f"{self.where}: {self.problem}; {self.remedy}."


class BadValueError(LayoutError, ValueError):
    """A typed value that can't be read or makes no sense: not a length, negative, NaN, absurd."""


class BadOutlineError(LayoutError, ValueError):
    """An outline that encloses no area, crosses itself or does not close."""


class BadFileError(LayoutError, ValueError):
    """A file that is missing, damaged or not what its name says."""


class NewerVersionError(BadFileError):
    """A project written by a newer version of the program."""


class CannotWriteError(LayoutError, OSError):
    """A file that can't be written where it was asked for; nothing was changed."""


class FileExistsAlreadyError(CannotWriteError):
    """A file that stands in the way; nothing was written over."""


class UnknownNameError(LayoutError, KeyError):
    """A master, cavity, material or other name that the project or the catalogue does not hold."""


class NotYetError(LayoutError, NotImplementedError):
    """A thing that this version can't do; the remedy says what can be had now."""


class RulesBrokenError(LayoutError):
    """An export of a layout that breaks rules nobody has accepted. Exit code 1.

    Parameters
    ----------
    where, problem, remedy : str
        As in `LayoutError`.
    kinds : tuple of str
        The kinds of finding that were not accepted.
    """

    def __init__(self, where: str, problem: str, remedy: str, kinds: tuple[str, ...]) -> None:
        super().__init__(where, problem, remedy)
        self.kinds = kinds
