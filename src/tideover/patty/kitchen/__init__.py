"""The kitchen: mixing a soft patty from what can be bought.

``ingredients`` and ``requirement`` say what things hold and bees need; ``task`` and ``limits`` what is asked;
``programme`` solves linear and whole-number programs; ``formulate`` finds the mix or the reason there is none;
``makeup``, ``water``, ``feel``, ``worth`` and ``robust`` say what a mix is; ``batch`` how it is weighed and mixed;
``syrup`` and ``cautions`` stand beside. Start reading at ``task`` and ``formulate``.
"""
