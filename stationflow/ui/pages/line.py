"""Line."""
import streamlit as st
st.title("Line")
