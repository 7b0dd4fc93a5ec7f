//! From a program's text to blocks of words with their places. Parsing cannot fail: what is not understood is a
//! fault beside the blocks.
//!
//! *Invariant*: every word and every fault keeps the span of the text it came from; nothing is dropped.
