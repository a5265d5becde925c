# Demo netlists
