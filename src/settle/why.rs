//! Why a cell holds what it holds: one row settled again, from the top rank down, with every statement watched.
