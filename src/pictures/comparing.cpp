#include "pictures/comparing.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <opencv2/video/tracking.hpp>

namespace mendtone::pictures {
namespace {

cv::Mat as_mat(const Plane& plane) {
  return {plane.height, plane.width, CV_32F, const_cast<float*>(plane.values)};
}

cv::Mat canvas(const cv::Mat& picture, cv::Size size) {
  cv::Mat out;
  cv::copyMakeBorder(picture, out, 0, size.height - picture.rows, 0, size.width - picture.cols,
                     cv::BORDER_CONSTANT, cv::mean(picture));
  return out;
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

}  // namespace

void warm_up_comparing() {
  cv::setNumThreads(1);
  const std::vector<float> some(64 * 64, 1);
  (void)cv::mean(as_mat({some.data(), 64, 64}));
}

std::optional<std::array<double, 6>> coarse_map(const Plane& one, const Plane& two) {
  const cv::Mat before = as_mat(one), after = as_mat(two);
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
      std::array<double, 6> map{};
      for (int i = 0; i < 6; ++i) map[static_cast<std::size_t>(i)] = warp.at<float>(i / 3, i % 3);
      return map;
    } catch (const cv::Exception&) {
      // No convergence from this start.
    }
  }
  return {};
}

std::vector<BlockShift> block_shifts(const BlockRow& row) {
  const cv::Mat one = as_mat(row.before), two = as_mat(row.after);
  cv::Mat window;
  cv::createHanningWindow(window, {row.block, row.block}, CV_32F);
  std::vector<BlockShift> shifts;
  for (int column = 0; column < row.columns; ++column) {
    const int x0 = (row.before.width - row.block) * column / (row.columns - 1);
    const cv::Mat piece = one(cv::Rect(x0, 0, row.block, row.block));
    // Brings the after picture into the before block's places.
    cv::Mat warp(2, 3, CV_64F), moved;
    for (int r = 0; r < 2; ++r) {
      const auto at = static_cast<std::size_t>(3 * r);
      warp.at<double>(r, 0) = row.map[at];
      warp.at<double>(r, 1) = row.map[at + 1];
      warp.at<double>(r, 2) = row.map[at] * x0 + row.map[at + 1] * row.before_row +
                              row.map[at + 2] - (r ? row.after_row : 0);
    }
    cv::warpAffine(two, moved, warp, piece.size(), cv::INTER_LINEAR | cv::WARP_INVERSE_MAP,
                   cv::BORDER_REPLICATE);
    cv::Point2d shift;
    if (!compare_block(piece, moved, window, shift)) continue;
    shifts.push_back({x0 + row.block / 2.0, row.before_row + row.block / 2.0, shift.x, shift.y});
  }
  return shifts;
}

std::vector<std::pair<std::int32_t, std::int32_t>> outline_of(unsigned char* mask, int width,
                                                              int height) {
  const cv::Mat white(height, width, CV_8U, mask);
  std::vector<std::vector<cv::Point>> edges;
  cv::findContours(white, edges, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  std::vector<std::pair<std::int32_t, std::int32_t>> outline;
  if (edges.empty()) return outline;
  const auto largest = std::max_element(
      edges.begin(), edges.end(),
      [](const auto& a, const auto& b) { return cv::contourArea(a) < cv::contourArea(b); });
  std::vector<cv::Point> corners;
  cv::approxPolyDP(*largest, corners, 1, true);
  for (const cv::Point& corner : corners) outline.emplace_back(corner.x, corner.y);
  return outline;
}

}  // namespace mendtone::pictures
