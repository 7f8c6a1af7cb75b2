"""The examples in docstrings run as printed."""

import doctest
from importlib import import_module
from pkgutil import iter_modules

import pytest

from registry.methods import abundance, drawing, identify, sequence

MODULES = [
    f"{package.__name__}.{found.name}"
    for package in (sequence, abundance, drawing, identify)
    for found in iter_modules(package.__path__)
] + ["registry.methods.alike"]


@pytest.mark.parametrize("name", MODULES)
def test_examples_give_what_they_say(name):
    assert doctest.testmod(import_module(name)).failed == 0


def test_there_are_examples():
    finder = doctest.DocTestFinder(exclude_empty=True)
    examples = sum(len(test.examples) for name in MODULES for test in finder.find(import_module(name)))
    assert examples >= 8
