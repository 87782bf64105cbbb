#pragma once
#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// Rows of a reader asked for in overlapping, mostly rising runs: each is read from the file once.
class SlidingRows {
 public:
  explicit SlidingRows(RowReader& reader) : reader_(reader) {}
  /// Rows y0 <= y < y1, copied.
  Result<void> fetch(int y0, int y1, CodedRows& out);

 private:
  RowReader& reader_;
  CodedRows held_, fresh_;
};

}  // namespace mendtone
