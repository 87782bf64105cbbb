#include "mendtone/adapters/align.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <opencv2/video/tracking.hpp>

#include "mendtone/imaging/reduced.hpp"

namespace mendtone {
namespace {

constexpr int small_side = 1000, least_blocks = 12;

/// L* of the picture made `factor` times smaller; what is over at the right and below is left out.
Result<cv::Mat> lightness(RowReader& picture, int factor) {
  const ImageSize size{picture.size().width / factor, picture.size().height / factor};
  const auto small =
      MENDTONE_TRY(reduced(picture, {0, 0, {size.width * factor, size.height * factor}}, factor));
  cv::Mat out(size.height, size.width, CV_32F);
  std::copy(small.lab.L.begin(), small.lab.L.end(), out.begin<float>());
  return out;
}

cv::Mat canvas(const cv::Mat& picture, cv::Size size) {
  cv::Mat out;
  cv::copyMakeBorder(picture, out, 0, size.height - picture.rows, 0, size.width - picture.cols,
                     cv::BORDER_CONSTANT, cv::mean(picture));
  return out;
}

/// Reduced before to reduced after: a shift first, then all six numbers of an affine map.
Result<cv::Matx23f> coarse(const cv::Mat& before, const cv::Mat& after) {
  const cv::Size size(std::max(before.cols, after.cols), std::max(before.rows, after.rows));
  cv::Mat window;
  cv::createHanningWindow(window, size, CV_32F);
  const cv::Point2d shift = cv::phaseCorrelate(canvas(before, size), canvas(after, size), window);
  // Strongly smoothed first: a coarse fit must not fall into the nearest engraved line.
  for (const cv::Point2d start : {shift, cv::Point2d(0, 0)}) {
    cv::Mat warp = (cv::Mat_<float>(2, 3) << 1, 0, start.x, 0, 1, start.y);
    try {
      for (const auto& [motion, blur] :
           {std::pair{cv::MOTION_EUCLIDEAN, 15}, {cv::MOTION_EUCLIDEAN, 7}, {cv::MOTION_AFFINE, 5}})
        cv::findTransformECC(
            before, after, warp, motion,
            cv::TermCriteria(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 100, 1e-5),
            cv::noArray(), blur);
      return cv::Matx23f(warp);
    } catch (const cv::Exception&) {
      // No convergence from this start.
    }
  }
  return bad_input(
      "the two photographs do not look enough alike to be laid on each other; name "
      "the same places in both with --points");
}

/// The coarse map in full-size pixels. Cell centres: x = factor (X + 1/2) - 1/2.
PlaneMap full_size(const cv::Matx23f& m, int factor) {
  const double h = (factor - 1) / 2.0;
  PlaneMap map;
  for (int r = 0; r < 2; ++r) {
    const double a = m(r, 0), b = m(r, 1), c = m(r, 2);
    map.m[static_cast<std::size_t>(3 * r)] = a;
    map.m[static_cast<std::size_t>(3 * r + 1)] = b;
    map.m[static_cast<std::size_t>(3 * r + 2)] = c * factor + h - (a + b) * h;
  }
  return map;
}

/// L* of rows y0 … y1 of a picture.
Result<cv::Mat> band(RowReader& picture, int y0, int y1) {
  const int width = picture.size().width;
  cv::Mat out(y1 - y0, width, CV_32F);
  CodedRows rows;
  LabPixels lab;
  constexpr int at_once = 64;
  for (int y = y0; y < y1; y += at_once) {
    const int end = std::min(y1, y + at_once);
    MENDTONE_TRY(picture.read(y, end, rows));
    to_lab(picture.transform(), rows, lab);
    for (int r = y; r < end; ++r)
      std::copy_n(&lab.L[static_cast<std::size_t>(r - y) * static_cast<std::size_t>(width)], width,
                  out.ptr<float>(r - y0));
  }
  return out;
}

struct Grid {
  int block, columns, rows;
};
Grid grid_of(ImageSize size) {
  const int block = std::clamp(std::min(size.width, size.height) / 6, 48, 256);
  return {block, std::clamp(size.width / block, 2, 12), std::clamp(size.height / block, 2, 12)};
}

/// The small correction that one block asks for, where it has enough structure to say.
bool compare_block(const cv::Mat& before, const cv::Mat& after, const cv::Mat& window,
                   cv::Point2d& shift) {
  cv::Scalar mean, deviation;
  cv::meanStdDev(before, mean, deviation);
  if (deviation[0] < 0.4) return false;  // bare paper looks alike everywhere
  double response = 0;
  shift = cv::phaseCorrelate(before, after, window, &response);
  return response > 0.12 && std::hypot(shift.x, shift.y) < before.cols / 6.0;
}

Result<std::vector<PointPair>> block_pairs(RowReader& before, RowReader& after,
                                           const PlaneMap& map) {
  const ImageSize size = before.size(), other = after.size();
  const Grid grid = grid_of(size);
  cv::Mat window;
  cv::createHanningWindow(window, {grid.block, grid.block}, CV_32F);
  std::vector<PointPair> pairs;
  for (int row = 0; row < grid.rows; ++row) {
    const int y0 = grid.rows > 1 ? (size.height - grid.block) * row / (grid.rows - 1) : 0;
    double low = other.height, high = 0;
    for (const double x : {0.0, size.width - 1.0})
      for (const double y : {double(y0), double(y0 + grid.block)}) {
        const double v = map({x, y}).y;
        low = std::min(low, v);
        high = std::max(high, v);
      }
    const int a0 = static_cast<int>(std::clamp(low - 3, 0.0, double(other.height))),
              a1 = static_cast<int>(std::clamp(high + 3, 0.0, double(other.height)));
    if (a1 - a0 < grid.block / 2) continue;
    if (static_cast<double>(a1 - a0) * other.width > 40e6)
      return bad_input(
          "the after photograph is turned too far against the before one; turn it "
          "upright first");
    auto one = MENDTONE_TRY(band(before, y0, y0 + grid.block));
    auto two = MENDTONE_TRY(band(after, a0, a1));
    for (int column = 0; column < grid.columns; ++column) {
      const int x0 = (size.width - grid.block) * column / (grid.columns - 1);
      const cv::Mat piece = one(cv::Rect(x0, 0, grid.block, grid.block));
      // Brings the after picture into the before block's places.
      cv::Mat warp(2, 3, CV_64F), moved;
      for (int r = 0; r < 2; ++r) {
        const auto at = static_cast<std::size_t>(3 * r);
        warp.at<double>(r, 0) = map.m[at];
        warp.at<double>(r, 1) = map.m[at + 1];
        warp.at<double>(r, 2) = map.m[at] * x0 + map.m[at + 1] * y0 + map.m[at + 2] - (r ? a0 : 0);
      }
      cv::warpAffine(two, moved, warp, piece.size(), cv::INTER_LINEAR | cv::WARP_INVERSE_MAP,
                     cv::BORDER_REPLICATE);
      cv::Point2d shift;
      if (!compare_block(piece, moved, window, shift)) continue;
      const Point p{x0 + grid.block / 2.0, y0 + grid.block / 2.0};
      pairs.push_back({p, map({p.x + shift.x, p.y + shift.y})});
    }
  }
  return pairs;
}

}  // namespace

Result<Registration> align(RowReader& before, RowReader& after, Alignment alignment) {
  cv::setNumThreads(1);
  const auto longest = [](ImageSize s) { return std::max(s.width, s.height); };
  if (std::min({before.size().width, before.size().height, after.size().width,
                after.size().height}) < 96)
    return bad_input("a photograph below 96 pixels cannot be aligned by itself");
  const int factor =
      std::max(1, std::max(longest(before.size()), longest(after.size())) / small_side);
  auto one = MENDTONE_TRY(lightness(before, factor));
  auto two = MENDTONE_TRY(lightness(after, factor));
  auto start = MENDTONE_TRY(coarse(one, two));
  PlaneMap map = full_size(start, factor);
  Result<Registration> found = bad_input("not aligned");
  // The second round starts from blocks that already overlap.
  for (int round = 0; round < 2; ++round) {
    auto pairs = MENDTONE_TRY(block_pairs(before, after, map));
    if (pairs.size() < least_blocks)
      return bad_input("only " + std::to_string(pairs.size()) + " of at least " +
                       std::to_string(least_blocks) +
                       " places in the photographs could be found in both; name the same places "
                       "in both with --points");
    found = register_robustly(pairs, round == 0 ? Alignment::affine : alignment);
    if (!found) return found;
    if (round == 0) map = found->after_from_before;
  }
  return found;
}

}  // namespace mendtone
