"""The exact search: arrays in, arrays out.

It fills the line station by station from one end. A partial plan is the set of tasks
at its stations; of two partial plans of the same set only that of fewer stations is
kept. What a partial plan still needs is bounded by weights of the tasks that no
station load exceeds, among them those of the packing bound.

References
----------
.. [1] Jackson, J. R. (1956). "A computing procedure for a line balancing problem".
   Management Science 2(3), 261-271. Maximal loads, dominance.
.. [2] Hoffmann, T. R. (1963). "Assembly line balancing with a precedence matrix".
   Management Science 9(4), 551-562.
.. [3] Scholl, A. and Klein, R. (1997). "SALOME: a bidirectional branch-and-bound
   procedure for assembly line balancing". INFORMS Journal on Computing 9(4), 319-334.
.. [4] Sewell, E. C. and Jacobson, S. H. (2012). "A branch, bound, and remember
   algorithm for the simple assembly line balancing problem". INFORMS Journal on
   Computing 24(3), 433-442.
.. [5] Morrison, D. R., Sewell, E. C. and Jacobson, S. H. (2014). "An application of the
   branch, bound, and remember algorithm to a new simple assembly line balancing
   dataset". European Journal of Operational Research 236(2), 403-409.
"""
