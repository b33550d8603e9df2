//! The shapes that leave the program: plain serialisable structs in the words of the user.
