from .problem import NoRoute


def explain(problem, board, tight):
    return NoRoute(tight, (), (0.0,0.0), 0.0, ())
